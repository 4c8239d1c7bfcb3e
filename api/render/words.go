package render

import (
	"math"
	"strconv"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// span writes a time in minutes as a person says it: "40 s", "3.5 min", "46 min",
// "1 h 13 min", "13 h 50 min", "3 days 4 h", "2.5 years". Rounding never puts a
// longer time before a shorter.
func (p *page) span(minutes float64) *page {
	const hour, day, year = 60, 24 * 60, 365
	whole := func(unit float64) int { return int(math.Round(minutes/unit) * unit) }
	switch m, s := whole(1), math.Round(minutes*60); {
	case minutes > 0 && s < 1:
		return p.s("less than a second")
	case minutes > 0 && s < 60:
		return p.n(s).s(" s")
	case m < 10:
		return p.n(math.Round(minutes*2) / 2).s(" min")
	case m < hour:
		return p.i(m).s(" min")
	case m < 10*hour:
		return p.clock(m)
	}
	if m := whole(10); m < 2*day {
		return p.clock(m)
	}
	if h := whole(hour); h < 14*day {
		return p.two(h/day, " days", h%day/hour, " h")
	}
	if d := math.Round(minutes / day); d < 2*year {
		return p.n(d).s(" days")
	}
	return p.n(math.Round(minutes/day/year*10) / 10).s(" years")
}

// days writes a time in days as a person says it.
func (p *page) days(n float64) *page { return p.span(n * 24 * 60) }

// clock writes whole minutes as hours and minutes, exactly.
func (p *page) clock(minutes int) *page { return p.two(minutes/60, " h", minutes%60, " min") }

// two writes a number of a unit and one of the next smaller, if there is any of it.
func (p *page) two(n int, unit string, rest int, smaller string) *page {
	p.i(n).s(unit)
	if rest > 0 {
		p.s(" ").i(rest).s(smaller)
	}
	return p
}

// between writes a range of time: "1 h, between 46 min and 1 h 13 min".
// Where it rounds to one time, that is written alone.
func (p *page) between(d *spec.Duration) *page {
	p.span(d.ExpectedMin)
	from := len(p.line)
	p.s(", between ").span(d.LowMin)
	and := len(p.line)
	p.s(" and ").span(d.HighMin)
	if string(p.line[from+len(", between "):and]) == string(p.line[and+len(" and "):]) {
		p.line = p.line[:from]
	}
	return p
}

// symbol is the sign of a unit behind a number, from the suffix of a field's
// name.
func symbol(suffix string) string {
	switch suffix {
	case "c_rate":
		return " C"
	case "mv":
		return " mV"
	case "v":
		return " V"
	case "ma":
		return " mA"
	case "a":
		return " A"
	case "mah":
		return " mAh"
	case "wh":
		return " Wh"
	case "w":
		return " W"
	case "mohm":
		return " milliohm"
	case "ohm":
		return " ohm"
	case "degc":
		return " °C"
	case "k":
		return " K"
	case "percent":
		return " %"
	case "awg":
		return " AWG"
	case "":
		return ""
	}
	return " " + suffix // min, s, h, days, g, mm, m
}

// field writes where in a request something stands, in words: "pack cell
// resistances" for /pack/cell_resistances_mohm.
func (p *page) field(pointer string) *page {
	parent := ""
	for name := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		if name == "surroundings" {
			continue
		}
		if parent == "pack" && strings.HasPrefix(name, parent+"_") {
			p.line = p.line[:len(p.line)-len(parent)] // "pack voltage", not "pack pack voltage"
		} else if parent != "" {
			p.s(" ")
		}
		parent = name
		if name != "" && '0' <= name[0] && name[0] <= '9' {
			if n, err := strconv.Atoi(name); err == nil {
				p.i(n + 1) // a pointer counts from 0, a person from 1
				continue
			}
		}
		p.name(name)
	}
	return p
}

// name writes the name of a field without its unit.
func (p *page) name(name string) *page {
	switch name {
	case "ambient_degc":
		return p.s("room temperature")
	case "as_of":
		return p.s("today's date")
	case "made_on":
		return p.s("date made")
	}
	suffix := spec.SuffixOf(name)
	p.word(strings.TrimSuffix(strings.TrimSuffix(name, suffix), "_"))
	switch suffix {
	case "c_rate":
		p.s(" rate")
	case "awg":
		p.s(" gauge")
	}
	return p
}

// word writes a word of the contract with spaces: "set by hand" for
// set_by_hand.
func (p *page) word(text string) *page {
	from := len(p.line)
	p.s(text)
	for i := from; i < len(p.line); i++ {
		if p.line[i] == '_' {
			p.line[i] = ' '
		}
	}
	return p
}

// value writes what was assumed for a field, with its unit.
func (p *page) value(field string, v any) *page {
	switch v := v.(type) {
	case float64:
		return p.about(v).s(symbol(spec.SuffixOf(field)))
	case int:
		return p.i(v).s(symbol(spec.SuffixOf(field)))
	case string:
		return p.word(v)
	}
	return p
}

// chemistry is a chemistry's name as it is spoken and as chargers show it.
func chemistry(c spec.Chemistry) string {
	switch c {
	case spec.LiPo:
		return "lithium polymer (LiPo)"
	case spec.LiHV:
		return "high-voltage lithium polymer (LiHV)"
	case spec.LiIon:
		return "lithium ion (Li-ion)"
	case spec.LiFePO4:
		return "lithium iron phosphate (LiFePO4)"
	case spec.NiMH:
		return "nickel-metal hydride (NiMH)"
	}
	return string(c)
}
