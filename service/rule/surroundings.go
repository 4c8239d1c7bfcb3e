package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// surroundingsRules judge where and how the charge happens.
func surroundingsRules() []Rule {
	return []Rule{tooCold(), coldReduced(), tooHot(), packWarm(), unattended(), noEnclosure(), combustibleSurface()}
}

// temperatureFields are where the temperatures judged may stand.
func temperatureFields(f *Facts) []string {
	var at []string
	if f.Pack.TemperatureDegC != nil {
		at = append(at, "/pack/temperature_degc")
	}
	if f.roomDegC() != nil {
		at = append(at, "/surroundings/ambient_degc")
	}
	return at
}

// whose says whether it is the pack or the room that has a temperature.
func whose(f *Facts, degC float64) string {
	if t := f.Pack.TemperatureDegC; t != nil && *t == degC {
		return "the pack"
	}
	return "the room"
}

func tooCold() Rule {
	return Rule{
		ID: "too-cold-to-charge", Family: AtThisPlace, ChargeOnly: true, EachPack: true, Since: "0.1.0", Levels: []Level{from(spec.Stop, 0, "degc")},
		Title:     "It is too cold to charge",
		Rationale: "Below 0 °C lithium plates as metal instead of entering the electrode, and a nimh cell vents.",
		Remedy:    "let the pack warm to room temperature for some hours, then charge it there",
		Source:    cell.FireBody("do not charge below 32 °F (0 °C)"),
		Value:     "min($temperatures)",
		Needs:     []Input{temperature()},
		Check: func(f *Facts, out *Out) {
			if cold, _ := f.temperatures(); cold < out.Limit(0) {
				out.Hit(0, cold, out.Limit(0), fmt.Sprintf("%s is at %s °C; no pack here is charged below 0 °C", whose(f, cold), spec.Plain(cold)), temperatureFields(f)...)
			}
		},
	}
}

func coldReduced() Rule {
	return Rule{
		ID: "cold-reduced-rate", Family: AtThisPlace, ChargeOnly: true, EachPack: true, Since: "0.1.0", Levels: []Level{from(spec.Caution, 10, "degc")},
		Title:     "It is cold: the rate is reduced",
		Rationale: "Between 0 and 10 °C a cell takes charge more slowly and plates at a rate that is harmless when warm.",
		Remedy:    "charge at the reduced rate, or better let the pack warm to room temperature first",
		Source:    cell.ZoneNote("half current from 0 to 10 °C"),
		Value:     "min($temperatures)",
		Needs:     []Input{temperature()},
		Check: func(f *Facts, out *Out) {
			if cold, _ := f.temperatures(); cold >= 0 && cold < out.Limit(0) {
				out.Hit(0, cold, out.Limit(0), fmt.Sprintf("%s is at %s °C: below 10 °C the rate is reduced", whose(f, cold), spec.Plain(cold)), temperatureFields(f)...)
			}
		},
	}
}

func tooHot() Rule {
	return Rule{
		ID: "too-hot-to-charge", Family: AtThisPlace, ChargeOnly: true, EachPack: true, Since: "0.1.0", Levels: []Level{from(spec.Caution, 40, "degc"), from(spec.Stop, 45, "degc")},
		Title:     "It is too hot to charge",
		Rationale: "Charging heats the pack further, and a hot cell ages fast and may run away.",
		Remedy:    "let the pack cool in the shade until it is below 40 °C",
		Source:    cell.FireBody("do not charge above 105 °F (40 °C); 45 °C is the end of the standard range of IEC 62133-2 (from memory)"),
		Value:     "max($temperatures)",
		Needs:     []Input{temperature()},
		Check: func(f *Facts, out *Out) {
			_, hot := f.temperatures()
			if i := out.Worst(func(limit float64) bool { return hot > limit }); i >= 0 {
				out.Hit(i, hot, out.Limit(i), fmt.Sprintf("%s is at %s °C, above %s °C", whose(f, hot), spec.Plain(hot), spec.Plain(out.Limit(i))), temperatureFields(f)...)
			}
		},
	}
}

func packWarm() Rule {
	return Rule{
		ID: "pack-warm-from-use", Family: AtThisPlace, Since: "0.1.0", Levels: []Level{from(spec.Caution, 10, "k")},
		Title:     "The pack is warm from use",
		Rationale: "A pack fresh from the model is warm inside and its voltages have not settled, so its charge is misread.",
		Remedy:    "let it rest until it has the temperature of the room, an hour or so",
		Source:    spec.Practice("a pack rests after use before it is charged"),
		Value:     "pack.temperature_degc - surroundings.ambient_degc",
		Needs: []Input{
			packField("temperature_degc", func(p *spec.Pack) bool { return p.TemperatureDegC != nil }),
			placeField("ambient_degc", func(s *spec.Surroundings) bool { return s.AmbientDegC != nil }),
		},
		Check: func(f *Facts, out *Out) {
			if over := *f.Pack.TemperatureDegC - *f.roomDegC(); beyond(over, out.Limit(0)) {
				out.Hit(0, over, out.Limit(0), fmt.Sprintf("the pack is %s K warmer than the room", spec.Beside(over, out.Limit(0))), "/pack/temperature_degc", "/surroundings/ambient_degc")
			}
		},
	}
}

func unattended() Rule {
	return Rule{
		ID: "unattended", Family: AtThisPlace, Since: "0.1.0", Levels: []Level{at(spec.Stop)},
		Title:     "Nobody stays with the pack",
		Rationale: "A failing pack gives little warning. Only somebody who is there can break it off, raise the alarm and get people out.",
		Remedy:    "begin when somebody can stay with it, awake, until it ends",
		Source:    spec.Source{Kind: spec.Guidance, Title: "U.S. Consumer Product Safety Commission, Micromobility Battery Charging Safety", Clause: "always be present when charging, never while sleeping", Standing: spec.Read},
		Needs:     []Input{placeField("attended", func(s *spec.Surroundings) bool { return s.Attended != nil })},
		Check: func(f *Facts, out *Out) {
			if !*f.Surroundings.Attended {
				out.Say(0, "nobody stays with the pack", "/surroundings/attended")
			}
		},
	}
}

func noEnclosure() Rule {
	return Rule{
		ID: "no-enclosure", Family: AtThisPlace, Since: "0.1.0", Levels: []Level{at(spec.Caution)},
		Title:     "The pack stands in the open",
		Rationale: "An enclosure keeps the jet of a burning lithium cell from setting the room alight.",
		Remedy:    "put it in a fire-resistant bag or a vented metal box",
		Source:    spec.Practice("lithium packs are charged in a fire-resistant bag or a vented metal box"),
		Needs:     []Input{placeField("enclosure", func(s *spec.Surroundings) bool { return s.Enclosure != "" })},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			if f.Surroundings.Enclosure == spec.NoEnclosure {
				out.Say(0, "the pack stands in the open", "/surroundings/enclosure")
			}
		},
	}
}

func combustibleSurface() Rule {
	return Rule{
		ID: "combustible-surface", Family: AtThisPlace, Since: "0.1.0", Levels: []Level{at(spec.Caution)},
		Title:     "The pack stands on something that burns",
		Rationale: "A failing pack sets what it stands on alight.",
		Remedy:    "put it on concrete, stone or tile, away from anything that burns",
		Source:    spec.Source{Kind: spec.Guidance, Title: "Fire and Rescue NSW, battery safety", Clause: "hard, non-flammable surface", Standing: spec.Read},
		Needs:     []Input{placeField("surface", func(s *spec.Surroundings) bool { return s.Surface != "" })},
		Check: func(f *Facts, out *Out) {
			if f.Surroundings.Surface == spec.Combustible {
				out.Say(0, "the pack stands on something that burns", "/surroundings/surface")
			}
		},
	}
}
