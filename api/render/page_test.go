package render

import (
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/spec"
)

func written(gather func(p *page)) string {
	p := newPage()
	gather(p)
	return string(p.line)
}

func TestATimeAsAPersonSaysIt(t *testing.T) {
	for minutes, want := range map[float64]string{
		0: "0 min", 0.005: "less than a second", 0.2: "12 s", 0.99: "59 s", 0.999: "1 min", 1.2: "1 min", 1.4: "1.5 min", 9.4: "9.5 min", 9.6: "10 min", 59.4: "59 min", 59.6: "1 h", 60: "1 h", 72.79: "1 h 13 min",
		120: "2 h", 599.4: "9 h 59 min", 599.7: "10 h", 864: "14 h 20 min", 876: "14 h 40 min", 1439: "24 h", 2870: "47 h 50 min", 2876: "2 days",
		4500: "3 days 3 h", 4340: "3 days", 20100: "13 days 23 h", 20160: "14 days", 1e6: "694 days", 1.05e6: "729 days", 1.0512e6: "2 years", 1.4e6: "2.7 years", 1e10: "19025.9 years",
	} {
		assert.Equal(t, want, written(func(p *page) { p.span(minutes) }), "%v min", minutes)
	}
}

// minutesOf reads back what span writes.
func minutesOf(text string) (sum float64) {
	words := strings.Fields(text)
	for i := 0; i+1 < len(words); i += 2 {
		n, _ := strconv.ParseFloat(words[i], 64)
		sum += n * map[string]float64{"s": 1. / 60, "min": 1, "h": 60, "days": 24 * 60, "years": 365 * 24 * 60}[words[i+1]]
	}
	return sum
}

// What is written is near what is meant, and never puts a longer time before a
// shorter.
func TestATimeIsRoundedInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.OneOf(rapid.Float64Range(0.02, 3), rapid.Float64Range(1, 100), rapid.Float64Range(1, 5000), rapid.Float64Range(1, 1e5), rapid.Float64Range(1e5, 1e8))
		a, b := some.Draw(t, "a"), some.Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		short := minutesOf(written(func(p *page) { p.span(a) }))
		long := minutesOf(written(func(p *page) { p.span(b) }))
		assert.LessOrEqual(t, short, long, "%v and %v min", a, b)
		assert.InDelta(t, a, short, max(0.5, 0.04*a)) // half a minute, or half a day of fourteen
	})
}

func TestARangeThatRoundsToOneTimeIsOneTime(t *testing.T) {
	d := spec.Duration{ExpectedMin: 60.3, LowMin: 45.7, HighMin: 72.8}
	assert.Equal(t, "1 h, between 46 min and 1 h 13 min", written(func(p *page) { p.between(&d) }))
	d = spec.Duration{ExpectedMin: 864, LowMin: 861, HighMin: 864}
	assert.Equal(t, "14 h 20 min", written(func(p *page) { p.between(&d) }))
}

func TestAFieldInWords(t *testing.T) {
	for pointer, want := range map[string]string{
		"/pack/cell_resistances_mohm": "pack cell resistances", "/taper_c_rate": "taper rate", "/pack/pack_voltage_v": "pack voltage",
		"/surroundings/ambient_degc": "room temperature", "/ambient_degc": "room temperature", "/as_of": "today's date",
		"/pack/main_lead/wire_awg": "pack main lead wire gauge", "/surroundings/parallel_board/0/cell_voltages_v": "parallel board 1 cell voltages",
		"/pack/max_charge_c_rate": "pack max charge rate", "/pack/charge_percent": "pack charge", "/charger": "charger", "": "",
	} {
		assert.Equal(t, want, written(func(p *page) { p.field(pointer) }), pointer)
	}
}

func TestAnAssumedValueHasItsUnit(t *testing.T) {
	for _, c := range []struct {
		field string
		value any
		want  string
	}{
		{"/pack/temperature_degc", 20.0, "20 °C"},
		{"/pack/cell_resistances_mohm", 8.04689802, "8.05 milliohm"},
		{"/taper_c_rate", 0.1, "0.1 C"},
		{"/pack/charge_percent", 0.0, "0 %"},
		{"/cells", 3, "3"},
		{"/goal/pace", "everyday", "everyday"},
		{"/pack/resistance_method", "ac_1khz", "ac 1khz"},
		{"/x_a", 0.0001, "0.0001 A"},
		{"/x_a", -0.0001, "-0.0001 A"},
	} {
		assert.Equal(t, c.want, written(func(p *page) { p.value(c.field, c.value) }))
	}
}

// Every unit that a field's name can end in has a sign, so that a number is not
// left bare.
func TestEverySuffixHasASign(t *testing.T) {
	for _, name := range []string{"x_c_rate", "x_mv", "x_v", "x_ma", "x_a", "x_mah", "x_wh", "x_w", "x_mohm", "x_ohm", "x_min", "x_s", "x_h", "x_days", "x_degc", "x_k", "x_percent", "x_g", "x_mm", "x_m", "x_awg"} {
		suffix := spec.SuffixOf(name)
		assert.NotEmpty(t, suffix, name)
		assert.Greater(t, len(symbol(suffix)), 1, name)
	}
}

func set(first, hang, text string) string {
	p := newPage()
	p.s(text).set(first, hang)
	return string(p.out)
}

func TestLinesBreakBetweenWords(t *testing.T) {
	long := strings.Repeat("x", 80)
	for text, want := range map[string]string{
		"":                                       "",
		"one":                                    "- one\n",
		"  one \n two\t ":                        "- one two\n",
		strings.Repeat("abcd ", 15) + "end":      "- " + strings.TrimSpace(strings.Repeat("abcd ", 14)) + "\n  abcd end\n",
		long + " and " + long:                    "- " + long + "\n  and\n  " + long + "\n",
		strings.Repeat("abcd ", 13) + "1234 mAh": "- " + strings.TrimSpace(strings.Repeat("abcd ", 13)) + "\n  1234 mAh\n",
	} {
		assert.Equal(t, want, set("- ", "  ", text))
	}
}

func TestASquareCharacterTakesTwoColumnsAndAMarkNone(t *testing.T) {
	assert.Equal(t, strings.Repeat("漢", 36)+"\nx\n", set("", "", strings.Repeat("漢", 36)+" x"))
	assert.Equal(t, strings.Repeat("é", 70)+" x\n", set("", "", strings.Repeat("é", 70)+" x"))
}

// What somebody could use to forge a line or to move a cursor parts words, and is
// not seen.
func TestNothingInATextMovesACursor(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"forged a line", "tq-1\nCLEAR: go on", "tq-1 CLEAR: go on\n"},
		{"returned the carriage", "tq-1\rCLEAR", "tq-1 CLEAR\n"},
		{"escaped", "tq\x1b[2J\x1b[31m1", "tq [2J [31m1\n"},
		{"rang the bell and went back", "a\a\b\x7fb", "a b\n"},
		{"used the other control characters", "a\u0085\u009b31mb", "a 31mb\n"},
		{"used a line separator", "a\u2028b\u2029c", "a b c\n"},
		{"turned the direction", "a\u202eb\u2066c\u200fd", "a b c d\n"},
		{"hid a character of no width", "a\u200bb\ufeffc", "a b c\n"},
		{"sent what is not UTF-8", "a\xff\xc3b\xe2\x82", "a b\n"},
		{"sent the replacement character", "a\ufffdb", "a\ufffdb\n"},
		{"sent half a pair", "a\xed\xa0\x80b", "a b\n"},
		{"used a character of nobody's", "a\ue000b\U0010ffffc", "a b c\n"},
	} {
		assert.Equal(t, c.want, set("", "", c.text), c.name)
	}
}

func FuzzSet(f *testing.F) {
	f.Add("tq-1\n\x1b[2J")
	f.Add("漢é\u202e")
	f.Fuzz(func(t *testing.T, text string) { clean(t, set("- ", "  ", text)) })
}

// clean is what any text must be: lines of UTF-8 without anything unseen, none
// too wide but for a word that is.
func clean(t rapid.TB, text string) {
	t.Helper()
	assert.True(t, utf8.ValidString(text), "not UTF-8: %q", text)
	assert.True(t, strings.HasSuffix(text, "\n"), "no newline at the end: %q", text)
	assert.NotContains(t, text, "\n\n\n")
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		assert.False(t, strings.HasSuffix(line, " "), "white space at the end of %q", line)
		columns, longest := 0, 0
		for word := range strings.FieldsSeq(line) {
			n := 0
			for _, r := range word {
				n += width(r)
			}
			longest = max(longest, n)
		}
		for _, r := range line {
			assert.True(t, unicode.IsGraphic(r) && (r == ' ' || !unicode.IsSpace(r)), "%U in %q", r, line)
			columns += width(r)
		}
		assert.True(t, columns <= 76 || longest > 68, "%d columns: %q", columns, line)
	}
}
