package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// programRules judge the end voltage and the program.
func programRules() []Rule {
	return []Rule{endVoltageOver(), programMismatch(), endVoltageFixed(), noSafetyTimer()}
}

func endVoltageOver() Rule {
	return Rule{
		ID: "end-voltage-over-maximum", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "v"}},
		Title:     "The end voltage is above the chemistry's",
		Rationale: "Every cell would be overcharged.",
		Remedy:    "leave the end voltage to the chemistry, or ask for a lower one",
		Source:    spec.Source{Kind: spec.Paper, Title: "H. Maleki et al., J. Power Sources 263, 223-230", Clause: "4.2 and 4.35 V as the upper limits of conventional and high-voltage cells; 3.65 V for lithium iron phosphate is common practice", Year: 2014, Standing: spec.Read},
		Value:     "end_cell_v",
		Against:   "chem.full_cell_v",
		Needs:     []Input{needs(func(f *Facts) bool { return f.EndCellV != nil }, "/settings/end_voltage_per_cell_v")},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			if v, full := f.EndCellV.Value, f.Chemistry.FullV.Value; beyond(v, full) {
				out.Hit(0, v, full, fmt.Sprintf("%s V a cell is asked for, and a %s cell is full at %s V", spec.Plain(v), f.Pack.Chemistry, spec.Plain(full)), f.EndCellV.At, "/pack/chemistry")
			}
		},
	}
}

func programMismatch() Rule {
	return Rule{
		ID: "end-voltage-program-mismatch", Family: OnCharger, Since: "0.1.0",
		Levels:    []Level{Level{Severity: spec.Caution, Unit: "v"}.remedy("choose the program of the pack's own chemistry: this one leaves it far from full"), {Severity: spec.Stop, Unit: "v"}},
		Title:     "The program is that of another chemistry",
		Rationale: "A program for a higher cell voltage overcharges every cell; a nimh program on a lithium pack never ends.",
		Remedy:    "choose the program of the pack's own chemistry",
		Source:    declaredMethod(),
		Value:     "chem.full_cell_v",
		Against:   "chem.full_cell_v",
		Needs:     []Input{needs(func(f *Facts) bool { return f.ProgramChemistry != "" }, "/settings/chemistry")},
		Check: func(f *Facts, out *Out) {
			set := f.ProgramChemistry
			if set.Lithium() != lithium(f) {
				out.Say(1, fmt.Sprintf("the %s program is set, and the pack is %s: the two end in different ways", set, f.Pack.Chemistry), "/settings/chemistry", "/pack/chemistry")
				return
			}
			program, pack := f.Chemistries.Get(set).FullV.Value, f.Chemistry.FullV.Value
			switch {
			case program > pack:
				out.Hit(1, program, pack, fmt.Sprintf("the %s program ends at %s V a cell, and a %s cell is full at %s V", set, spec.Plain(program), f.Pack.Chemistry, spec.Plain(pack)), "/settings/chemistry", "/pack/chemistry")
			case program < f.Chemistry.StorageV.Value:
				out.Hit(0, program, pack, fmt.Sprintf("the %s program ends at %s V a cell, and a %s cell is full at %s V", set, spec.Plain(program), f.Pack.Chemistry, spec.Plain(pack)), "/settings/chemistry", "/pack/chemistry")
			}
		},
	}
}

func endVoltageFixed() Rule {
	return Rule{
		ID: "end-voltage-not-adjustable", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "v"}},
		Title:     "The charger cannot be set to end short of full",
		Rationale: "It would go on to full whatever was planned.",
		Remedy:    "leave the target out and charge to full, or use a charger whose end voltage can be set",
		Source:    arithmetic("the charger's own end voltage"),
		Value:     "end_cell_v",
		Against:   "chem.full_cell_v",
		Needs:     []Input{aCharger(), chargerField("end_voltage_adjustable", func(c *spec.Charger) bool { return c.EndVoltageAdjustable != nil })},
		Applies: func(f *Facts) bool {
			return lithium(f) && f.EndCellV != nil && f.EndCellV.Value < f.Chemistry.FullV.Value*(1-1e-9)
		},
		Check: func(f *Facts, out *Out) {
			if !*f.Charger.EndVoltageAdjustable {
				out.Hit(0, f.EndCellV.Value, f.Chemistry.FullV.Value, fmt.Sprintf("%s V a cell is asked for, and the charger's end voltage cannot be set", spec.Plain(f.EndCellV.Value)), f.EndCellV.At, "/charger/end_voltage_adjustable")
			}
		},
	}
}

func noSafetyTimer() Rule {
	return Rule{
		ID: "no-safety-timer", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Note)},
		Title:     "The charger has no safety timer",
		Rationale: "A charge that never reaches its end goes on until somebody notices.",
		Remedy:    "set an alarm by hand for the longest time the charge may take, and stop it when the alarm rings",
		Source:    spec.Practice("a charge has a time after which it is stopped whatever the charger shows"),
		Needs:     []Input{chargerField("safety_timer", func(c *spec.Charger) bool { return c.SafetyTimer != nil })},
		Check: func(f *Facts, out *Out) {
			if !*f.Charger.SafetyTimer {
				out.Say(0, "the charger has no safety timer", "/charger/safety_timer")
			}
		},
	}
}
