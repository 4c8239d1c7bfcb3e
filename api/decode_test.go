package api

import (
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

func newQuestions() *Decoder[question] { return NewDecoder[question](spec.NewValidator()) }

// with is a valid question with one more member in its knob.
func with(member string) string { return `{"knob":{"count":3,` + member + `}}` }

func TestDecodeRefusesWhatIsNotIJSON(t *testing.T) {
	deep := strings.Repeat("[", maxDepth+1) + strings.Repeat("]", maxDepth+1)
	cases := []struct{ name, body, pointer, rule, words string }{
		{"sent nothing", ``, "", "empty-body", "empty"},
		{"sent only space", " \r\n\t", "", "empty-body", "empty"},
		{"forgot the last brace", `{"knob":{"count":3}`, "", "truncated", "line 1, column 20: the body ends too early"},
		{"cut the body inside a text", `{"name":"abc`, "/name", "truncated", "ends too early"},
		{"cut the body inside a word", `{"loud":tr`, "/loud", "truncated", "ends too early"},
		{"left a comma behind the last entry", `{"knob":{"notches_v":[1,2,]}}`, "/knob/notches_v", "syntax", "line 1, column 26: there is a comma behind the last entry"},
		{"left a comma behind the last field", `{"name":"a",}`, "", "syntax", "comma behind the last entry"},
		{"forgot a comma", "{\"name\":\"a\"\n \"loud\":true}", "", "syntax", "line 2, column 2: a comma or a colon is missing"},
		{"forgot a colon", `{"name" "a"}`, "/name", "syntax", "a comma or a colon is missing"},
		{"used single quotes", `{'name':'a'}`, "", "syntax", "double quotes"},
		{"wrote a comment", `{"name":"a" // mine` + "\n}", "", "syntax", "no comments"},
		{"wrote a name without quotes", `{name:"a"}`, "", "syntax", ""},
		{"used a number as a name", `{1:2}`, "", "syntax", "double quotes"},
		{"wrote NaN", with(`"size_mm":NaN`), "/knob/size_mm", "syntax", "NaN"},
		{"wrote Infinity", with(`"size_mm":Infinity`), "/knob/size_mm", "syntax", "Infinity"},
		{"wrote minus Infinity", with(`"size_mm":-Infinity`), "/knob/size_mm", "syntax", "Infinity"},
		{"wrote a leading zero", with(`"size_mm":01`), "/knob", "syntax", "does not begin with 0"},
		{"wrote .5", with(`"size_mm":.5`), "/knob/size_mm", "syntax", "0.5"},
		{"wrote +1", with(`"size_mm":+1`), "/knob/size_mm", "syntax", "plus"},
		{"wrote True", `{"loud":True}`, "/loud", "syntax", "small letters"},
		{"broke a line inside a text", "{\"name\":\"a\nb\"}", "/name", "syntax", "U+000A"},
		{"wrote a Windows path", `{"name":"C:\dir"}`, "/name", "syntax", "backslash"},
		{"saved with a byte order mark", "\uFEFF{}", "", "syntax", "byte order mark"},
		{"closed a list with a brace", `{"colors":["red"}}`, "/colors", "syntax", ""},
		// RFC 7493, section 2.3: names within an object are unique.
		{"gave a field twice", `{"knob":{"count":3,"count":4}}`, "/knob/count", "duplicate-name", "count is given twice"},
		{"gave an unknown field twice", `{"zz":1,"zz":2}`, "/zz", "duplicate-name", "zz is given twice"},
		{"gave a field twice, once escaped", `{"knob":{"count":3,"\u0063ount":4}}`, "/knob/count", "duplicate-name", "count is given twice"},
		{"gave a field twice inside an unknown one", `{"zz":[{"a":1,"a":2}]}`, "/zz/0/a", "duplicate-name", "a is given twice"},
		// RFC 7493, section 2.1: UTF-8, no surrogates.
		{"saved as Latin-1", "{\"name\":\"\xe9\"}", "/name", "utf-8", "UTF-8"},
		{"sent UTF-16", "\xff\xfe{\x00}\x00", "", "utf-8", "UTF-8"},
		{"wrote half a surrogate pair", `{"name":"\ud800"}`, "/name", "utf-8", "surrogate"},
		{"wrote the halves the wrong way round", `{"name":"\udc00\ud800"}`, "/name", "utf-8", "surrogate"},
		// RFC 7493, section 2.2: numbers that a double holds.
		{"wrote a number beyond a double", with(`"size_mm":1e999`), "/knob/size_mm", "number-range", "size_mm is 1e999"},
		{"wrote such a number in an unknown field", `{"knob":{"count":3},"zz":{"a":[-1e400]}}`, "/zz/a/0", "number-range", "-1e400"},
		{"wrote such a number where a text goes", `{"name":1e999}`, "/name", "number-range", "1e999"},
		{"wrote such a number in a list that is too long", with(`"notches_v":[1,2,3,4,5,1e999]`), "/knob/notches_v/5", "number-range", "1e999"},
		{"wrote 400 digits", with(`"size_mm":` + strings.Repeat("9", 400)), "/knob/size_mm", "number-range", "double"},
		{"sent two documents", `{} {}`, "", "trailing-bytes", "line 1, column 4"},
		{"sent a brace too many", `{"knob":{"count":3}}}`, "", "trailing-bytes", "one document"},
		{"sent text behind the document", `{"knob":{"count":null}} x`, "", "trailing-bytes", "one document"},
		{"nested too deep", `{"zz":` + deep[1:len(deep)-1] + `}`, "", "depth", "more than 16 deep"},
		{"nested very deep", strings.Repeat("[", 100_000), "", "depth", "line 1, column 17"},
		{"had a wrong type before a syntax error", `{"name":3,"loud":}`, "", "syntax", ""},
		{"had an unknown field before a syntax error", `{"zz":3,"loud" true}`, "", "syntax", ""},
		{"had a null before a syntax error", `{"name":null,"loud" true}`, "", "syntax", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := newQuestions().Decode([]byte(c.body))
			var malformed *MalformedError
			require.ErrorAs(t, err, &malformed)
			require.Len(t, malformed.Faults, 1)
			f := malformed.Faults[0]
			requireFault(t, f)
			assert.Equal(t, c.rule, f.Rule, f.Detail)
			assert.Contains(t, f.Detail, c.words)
			if c.pointer != "" {
				assert.Equal(t, c.pointer, f.Pointer)
			}
		})
	}
}

func TestDecodeAcceptsTheDeepestNestingThereMayBe(t *testing.T) {
	deep := `{"zz":` + strings.Repeat("[", maxDepth-1) + strings.Repeat("]", maxDepth-1) + `,"knob":{"count":3}}`
	assert.Equal(t, []string{"/zz unknown-field"}, brief(decodeFaults(t, deep)))
}

func TestDecodeIgnoresBracketsInTexts(t *testing.T) {
	_, err := newQuestions().Decode([]byte(`{"name":"[[\"[[\\","labels":{"a":"` + strings.Repeat("[", 100) + `"},"knob":{"count":3}}`))
	assert.NoError(t, err)
}

func decodeFaults(t *testing.T, body string) []spec.FieldError {
	t.Helper()
	_, err := newQuestions().Decode([]byte(body))
	var invalid *InvalidError
	require.ErrorAs(t, err, &invalid)
	for _, f := range invalid.Faults {
		requireFault(t, f)
	}
	return invalid.Faults
}

func brief(faults []spec.FieldError) []string {
	var s []string
	for _, f := range faults {
		s = append(s, f.Pointer+" "+f.Rule)
	}
	return s
}

func TestDecodeSaysWhatIsWrongWithAValue(t *testing.T) {
	cases := []struct{ name, body, fault, words string }{
		{"quoted a number", with(`"size_mm":"2.5"`), "/knob/size_mm type", `size_mm is the string "2.5"; remove the quotes: 2.5`},
		{"quoted a whole number", `{"knob":{"count":"3"}}`, "/knob/count type", `count is the string "3"; remove the quotes: 3`},
		{"quoted a fraction for a whole number", `{"knob":{"count":"3.5"}}`, "/knob/count type", `count is the string "3.5"; write a whole number, for example 3`},
		{"used a decimal comma", with(`"size_mm":"2,5"`), "/knob/size_mm type", "decimal point and without quotes: 2.5"},
		{"wrote the unit", with(`"size_mm":"2 mm"`), "/knob/size_mm type", `size_mm is the string "2 mm"; write a number (millimeters), without quotes and without the unit`},
		{"wrote a text for a whole number", `{"knob":{"count":"3S"}}`, "/knob/count type", "write a whole number, for example 3"},
		{"wrote a fraction", `{"knob":{"count":2.5}}`, "/knob/count whole-number", "count is 2.5; write a whole number"},
		{"wrote a small fraction", `{"knob":{"count":25e-1}}`, "/knob/count whole-number", "count is 25e-1; write a whole number"},
		{"wrote a huge whole number", `{"knob":{"count":1e30}}`, "/knob/count range", "count is 1e30, which is far out of range"},
		{"wrote one more than the largest", `{"knob":{"count":9223372036854775808}}`, "/knob/count range", "far out of range"},
		{"quoted true", `{"knob":{"count":3},"loud":"true"}`, "/loud type", `loud is the string "true"; remove the quotes: true`},
		{"wrote yes", `{"knob":{"count":3},"loud":"yes"}`, "/loud type", "write true or false"},
		{"wrote 1 for true", `{"knob":{"count":3},"loud":1}`, "/loud type", "loud is 1; write true"},
		{"wrote true for a number", with(`"size_mm":true`), "/knob/size_mm type", "size_mm is true; write a number (millimeters)"},
		{"wrote a number for a text", `{"knob":{"count":3},"name":14}`, "/name type", `name is the number 14; put it in quotes: "14"`},
		{"wrote a number for a date", with(`"made_on":2025`), "/knob/made_on type", "made_on is 2025; write a date in quotes"},
		{"wrote a number for a word", with(`"color":3`), "/knob/color type", "color is 3; write one of red, green, blue"},
		{"wrote one word for a list", `{"knob":{"count":3},"colors":"red"}`, "/colors type", `write a list, even of one: ["red"]`},
		{"wrote one number for a list", with(`"notches_v":3.7`), "/knob/notches_v type", "write a list, even of one: [3.7]"},
		{"wrote a list for a number", with(`"size_mm":[1]`), "/knob/size_mm type", "size_mm is a list; write a number (millimeters), without the square brackets"},
		{"wrote an object for a list", `{"knob":{"count":3},"colors":{}}`, "/colors type", "colors is an object; write a list in square brackets"},
		{"wrote a list for an object", `{"knob":[{"count":3}]}`, "/knob type", "knob is a list; write an object in braces, without the square brackets"},
		{"wrote a text for an object", `{"knob":"x"}`, "/knob type", `knob is the string "x"; write an object in braces`},
		{"sent a list", `[]`, " type", "the body is a list; write an object"},
		{"sent a number", `3`, " type", "the body is 3; write an object"},
		{"sent null", `null`, " null", "the body is null"},
		{"wrote null for an optional number", with(`"size_mm":null`), "/knob/size_mm null", "size_mm is null, which is not a value here; leave the field out"},
		{"wrote null for a required number", `{"knob":{"count":null}}`, "/knob/count null", "count is null, which is not a value here; write a whole number"},
		{"wrote null for an object", `{"knob":null}`, "/knob null", "knob is null"},
		{"wrote null for a list", `{"knob":{"count":3},"spares":null}`, "/spares null", "leave the field out"},
		{"wrote null in a list", with(`"notches_v":[1,null]`), "/knob/notches_v/1 null", "notches_v[1] is null, which is not a value here; write a number (volts)"},
		{"wrote a text in a list of numbers", with(`"notches_v":[1,"2"]`), "/knob/notches_v/1 type", `notches_v[1] is the string "2"; remove the quotes: 2`},
		{"wrote a number in a list of words", `{"knob":{"count":3},"colors":[1]}`, "/colors/0 type", "colors[0] is 1; write one of red, green, blue"},
		{"wrote a text in a list of objects", `{"knob":{"count":3},"spares":["x"]}`, "/spares/0 type", `spares[0] is the string "x"; write an object in braces`},
		{"wrote a number in a map of texts", `{"knob":{"count":3},"labels":{"a/b":1}}`, "/labels/a~1b type", "put it in quotes"},
		{"misspelled a field", with(`"colour":"red"`), "/knob/colour unknown-field", `"colour" is not a field of knob; did you mean "color"?`},
		{"wrote a field in capitals", with(`"Size_mm":2`), "/knob/Size_mm unknown-field", `did you mean "size_mm"?`},
		{"wrote a field of another object", `{"knob":{"count":3},"notches_v":[1]}`, "/notches_v unknown-field", `"notches_v" is not a field of the body; it belongs in knob`},
		{"wrote a field that nothing is like", with(`"enthusiasm":1`), "/knob/enthusiasm unknown-field", "which has count, size_mm, color, made_on, notches_v"},
		// RFC 6901, section 3: ~0 stands for ~ and ~1 for /.
		{"used ~ and / in a name", with(`"a~/b":1`), "/knob/a~0~1b unknown-field", `"a~/b" is not a field of knob`},
		{"used an empty name", with(`"":1`), "/knob/ unknown-field", `"" is not a field of knob`},
		{"made a list too long", with(`"notches_v":[1,2,3,4,5]`), "/knob/notches_v max", "notches_v"},
		{"made a list too long, with a null elsewhere", with(`"notches_v":[1,2,3,4,5]`)[:len(with(`"notches_v":[1,2,3,4,5]`))-1] + `,"spares":[]}`, "/knob/notches_v max", "notches_v"},
		{"left everything out", `{}`, "/knob required", "knob is missing"},
		{"left the fields of an object out", `{"knob":{}}`, "/knob required", "knob is missing or empty; give at least count"},
		{"contradicted himself", `{"knob":{"count":3},"loud":true,"turns":1}`, " one-of", "exclude each other"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			faults := decodeFaults(t, c.body)
			require.Equal(t, []string{c.fault}, brief(faults), faults)
			assert.Contains(t, faults[0].Detail, c.words)
		})
	}
}

func TestDecodeReportsEverythingTogether(t *testing.T) {
	cases := []struct {
		name, body string
		faults     []string
	}{
		{
			"wrong type, unknown field, null, out of range and missing at once",
			`{"nam":"x","knob":{"size_mm":"2","color":null,"notches_v":[7,"2",9]},"turns":9}`,
			[]string{"/nam unknown-field", "/knob/size_mm type", "/knob/color null", "/knob/notches_v/1 type", "/knob/count required", "/knob/notches_v/0 lte", "/knob/notches_v/2 lte", "/turns lte"},
		},
		{"only the required field of an object, and that of the wrong type", `{"knob":{"count":"x"},"turns":9}`, []string{"/knob/count type", "/turns lte"}},
		{"a misspelled required field is one fault", `{"knob":{"cuont":3}}`, []string{"/knob/cuont unknown-field"}},
		{"a misspelled required object is one fault", `{"knub":{"count":3}}`, []string{"/knub unknown-field"}},
		{"entries at fault do not count as repeated", `{"knob":{"count":3},"colors":[1,2]}`, []string{"/colors/0 type", "/colors/1 type"}},
		{"an entry at fault is not looked into", `{"knob":{"count":3},"spares":[3,{"count":99}]}`, []string{"/spares/0 type", "/spares/1/count lte"}},
		{"a contradiction beside a wrong type", `{"knob":{"count":3},"loud":true,"turns":1,"name":3}`, []string{"/name type", " one-of"}},
		{"a list that is too long is not judged", `{"knob":{"count":3,"notches_v":["a",9,9,9,9,9]}}`, []string{"/knob/notches_v/0 type", "/knob/notches_v max"}},
		{"nothing follows from an object of the wrong type", `{"knob":7,"turns":9}`, []string{"/knob type", "/turns lte"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			faults := decodeFaults(t, c.body)
			assert.Equal(t, c.faults, brief(faults), faults)
		})
	}
}

func TestDecodeTakesAWholeNumberHoweverItIsWritten(t *testing.T) {
	for _, literal := range []string{"3", "3.0", "3e0", "3.00E+0", "30e-1", "0.3e1", "0.003e3"} {
		q, err := newQuestions().Decode([]byte(`{"knob":{"count":` + literal + `},"turns":-` + literal + `,"name":"3.0"}`))
		require.NoError(t, err, literal)
		assert.Equal(t, 3, q.Knob.Count)
		assert.Equal(t, -3, *q.Turns)
		assert.Equal(t, "3.0", q.Name)
	}
	for _, literal := range []string{"0", "-0", "0.0", "-0e9", "0e999999999999999999999"} {
		q, err := newQuestions().Decode([]byte(`{"knob":{"count":3},"turns":` + literal + `}`))
		require.NoError(t, err, literal)
		assert.Zero(t, *q.Turns)
	}
}

func TestDecodeKeepsTextsAsTheyAre(t *testing.T) {
	const labels = `"labels":{"é":"\u00e9\n\"\\","":"𝄞\ud834\udd1e","a/b":""}`
	fast, err := newQuestions().Decode([]byte(`{"knob":{"count":3},` + labels + `}`))
	require.NoError(t, err)
	slow, err := newQuestions().Decode([]byte(`{"knob":{"count":3.0},` + labels + `}`))
	require.NoError(t, err)
	assert.Equal(t, map[string]string{"é": "é\n\"\\", "": "𝄞𝄞", "a/b": ""}, fast.Labels)
	assert.Equal(t, fast, slow)
}

func TestDecodeListsAHundredFaultsAndSaysThatThereAreMore(t *testing.T) {
	members := make([]string, 150)
	for i := range members {
		members[i] = fmt.Sprintf(`"zz%d":1`, i)
	}
	faults := decodeFaults(t, with(strings.Join(members, ",")))
	require.Len(t, faults, 100)
	assert.Equal(t, "/knob/zz98", faults[98].Pointer)
	assert.Equal(t, "more-faults", faults[99].Rule)

	faults = decodeFaults(t, with(strings.Join(members[:100], ",")))
	require.Len(t, faults, 100)
	assert.Equal(t, "/knob/zz99", faults[99].Pointer)
}

// Three bytes of "{}," in a list of packs would otherwise become some
// hundreds of bytes of memory each.
func TestDecodeDoesNotBuildAListThatIsTooLong(t *testing.T) {
	body := `{"surroundings":{"parallel_board":[` + strings.TrimSuffix(strings.Repeat("{},", 300_000), ",") + `]}}`
	d := NewDecoder[charge.Request](spec.NewValidator())
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := d.Decode([]byte(body))
	runtime.ReadMemStats(&after)
	var invalid *InvalidError
	require.ErrorAs(t, err, &invalid)
	assert.Contains(t, brief(invalid.Faults), "/surroundings/parallel_board max")
	// Built, it would be 300,000 packs of some 300 bytes each, or 100 times the body.
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(8*len(body)))
}

func TestDecodeDoesNotSendALongNameBack(t *testing.T) {
	long := `"` + strings.Repeat("x", 500_000) + `":1`
	for body, fault := range map[string]string{
		with(long): "/knob unknown-field",
		`{"knob":{"count":3},"labels":{` + long + `}}`: "/labels type",
	} {
		faults := decodeFaults(t, body)
		assert.Equal(t, []string{fault}, brief(faults))
		assert.Less(t, len(faults[0].Detail), 300)
	}
	_, err := newQuestions().Decode([]byte(`{"knob":{` + long + `,` + long + `}}`))
	var malformed *MalformedError
	require.ErrorAs(t, err, &malformed)
	assert.Equal(t, []string{"/knob duplicate-name"}, brief(malformed.Faults))
	assert.Less(t, len(malformed.Faults[0].Detail), 300)
}

func TestDecodeReadsTheDocumentsOfTheService(t *testing.T) {
	const pack = `"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}`
	const charger = `"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}`
	d := NewDecoder[charge.Request](spec.NewValidator())
	cases := []struct {
		name, body string
		faults     []string
	}{
		{"a plain request", `{` + pack + `,` + charger + `}`, nil},
		{"forgot the charger", `{` + pack + `}`, []string{"/charger required"}},
		{
			"sent an empty pack", `{"pack":{},` + charger + `}`,
			[]string{"/pack required"},
		},
		{"left the pace empty", `{` + pack + `,` + charger + `,"goal":{"pace":""}}`, []string{"/goal/pace enum"}},
		{"left a date empty", `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"made_on":""},` + charger + `,"as_of":""}`, []string{"/pack/made_on datetime", "/as_of datetime"}},
		{"left the id empty", `{"pack":{"id":"","chemistry":"lipo","cells_series":3,"capacity_mah":2200},` + charger + `}`, nil},
		{"wrote Capacity_mAh", `{"pack":{"chemistry":"lipo","cells_series":3,"Capacity_mAh":2200},` + charger + `}`, []string{"/pack/Capacity_mAh unknown-field"}},
		{"wrote the cell count beside the pack", `{"cells_series":3,` + pack + `,` + charger + `}`, []string{"/cells_series unknown-field"}},
		{
			"gave two starts of charge and a text for a number",
			`{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":"2200","charge_percent":50,"pack_voltage_v":11},` + charger + `}`,
			[]string{"/pack/capacity_mah type", "/pack one-start-of-charge"},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := d.Decode([]byte(c.body))
			if c.faults == nil {
				require.NoError(t, err)
				return
			}
			var invalid *InvalidError
			require.ErrorAs(t, err, &invalid)
			assert.Equal(t, c.faults, brief(invalid.Faults))
		})
	}
}

func TestErrorsOfOneFaultSayIt(t *testing.T) {
	_, err := newQuestions().Decode([]byte(`{"knob":{"count":"3"}}`))
	assert.EqualError(t, err, `count is the string "3"; remove the quotes: 3`)
	_, err = newQuestions().Decode([]byte(`{"knob":{"count":"3","zz":1}}`))
	assert.EqualError(t, err, "the request has 2 faults; each is listed in errors")
	_, err = newQuestions().Decode([]byte(`{`))
	assert.True(t, errors.As(err, new(*MalformedError)))
}

func BenchmarkDecode(b *testing.B) {
	for _, c := range []struct{ name, body string }{
		{"right", goodQuestion},
		{"whole number with a point", strings.Replace(goodQuestion, ":3,", ":3.0,", 1)},
		{"five faults", `{"nam":"x","knob":{"size_mm":"2","color":null,"notches_v":[7,"2"]},"turns":9}`},
		{"a MiB of unknown fields", `{"zz":[` + strings.Repeat(`{"a":1.5e3},`, 87_000) + `1]}`},
		{"a MiB of empty objects", `{"spares":[` + strings.Repeat(`{},`, 340_000) + `{}]}`},
		{"a MiB of wrong numbers", `{"spares":[{"notches_v":[` + strings.Repeat(`"",`, 340_000) + `1]}]}`},
	} {
		b.Run(c.name, func(b *testing.B) {
			d, body := newQuestions(), []byte(c.body)
			b.SetBytes(int64(len(body)))
			b.ReportAllocs()
			for b.Loop() {
				_, _ = d.Decode(body)
			}
		})
	}
}
