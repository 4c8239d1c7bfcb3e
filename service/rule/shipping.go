package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// The rules by energy of what is shipped, and the energy itself.

func overSmall() Rule {
	return Rule{
		ID: "shipped-over-small", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Note, 100, "wh")},
		Title:     "The pack is larger than a small battery",
		Rationale: "Up to 100 Wh a lithium ion pack ships with the exceptions for small batteries. A larger one is dangerous goods of class 9, but for the road, where marked packages go up to 300 Wh.",
		Remedy:    "to ship it by road, mark the package LITHIUM BATTERIES-FORBIDDEN FOR TRANSPORT ABOARD AIRCRAFT AND VESSEL; to ship it by air, give it to somebody who is trained in dangerous goods",
		Source:    smallBattery("(i): the Watt-hour rating may not exceed 100 Wh for a lithium ion battery"),
		Applies:   by(spec.AirCargo, spec.Road),
		Check: func(f *Facts, out *Out) {
			if wh := f.Moving.EnergyWh; beyond(wh, out.Limit(0)) {
				out.Hit(0, wh, out.Limit(0), fmt.Sprintf("the pack holds %s Wh, over %s Wh", spec.Beside(wh, out.Limit(0)), spec.Plain(out.Limit(0))), "/pack")
			}
		},
	}
}

func overRoadLimit() Rule {
	return Rule{
		ID: "shipped-over-road-limit", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Caution, 300, "wh")},
		Title:     "The pack is too large for the exceptions of the road",
		Rationale: "Over 300 Wh a lithium ion pack is shipped by road as dangerous goods of class 9 in full: packaging, papers, labels and trained people.",
		Remedy:    "drive it yourself, or give it to somebody who is trained in dangerous goods",
		Source:    smallBattery("(iv): by highway or rail only, 300 Wh for a lithium ion battery, with the outer package marked"),
		Applies:   by(spec.Road),
		Check: func(f *Facts, out *Out) {
			if wh := f.Moving.EnergyWh; beyond(wh, out.Limit(0)) {
				out.Hit(0, wh, out.Limit(0), fmt.Sprintf("the pack holds %s Wh, over %s Wh", spec.Beside(wh, out.Limit(0)), spec.Plain(out.Limit(0))), "/pack")
			}
		},
	}
}

func cellOverSmall() Rule {
	const small = 20.0
	return Rule{
		ID: "shipped-cell-over-small", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Note, small, "wh"), from(spec.Caution, 60, "wh")},
		Title:     "The cells are larger than small cells",
		Rationale: "The exceptions for small batteries hold for packs of cells up to 20 Wh, and on the road up to 60 Wh. Packs of larger cells are dangerous goods of class 9.",
		Remedy:    "give the number of cells side by side as cells_parallel; where the cells are that large, give the pack to somebody who is trained in dangerous goods",
		Source:    smallBattery("(i) and (iv): 20 Wh for a lithium ion cell; by highway or rail only, 60 Wh"),
		Needs: []Input{needs(func(f *Facts) bool {
			return f.Pack.CellsParallel != nil || !beyond(f.Moving.CellWh, small) // a group within it has no cell over it
		}, "/pack/cells_parallel")},
		Applies: by(spec.AirCargo, spec.Road),
		Check: func(f *Facts, out *Out) {
			wh := f.Moving.CellWh
			i := out.Worst(func(limit float64) bool { return beyond(wh, limit) })
			if i > 0 && f.Moving.Mode == spec.AirCargo {
				i = 0 // by air there is only the one limit
			}
			if i >= 0 {
				out.Hit(i, wh, out.Limit(i), fmt.Sprintf("each cell holds %s Wh, over %s Wh", spec.Beside(wh, out.Limit(i)), spec.Plain(out.Limit(i))), "/pack")
			}
		},
	}
}

func energyContradicts() Rule {
	return Rule{
		ID: "moved-energy-contradicts", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Caution, 5, "percent")},
		Title:     "The label's figures make different watt hours",
		Rationale: "What may travel goes by the watt hours on the label. Where its figures contradict each other a carrier may refuse the pack, and the largest is judged here.",
		Remedy:    "read the label again and correct energy_wh, nominal_voltage_v, capacity_mah or cells_series; carry only a pack whose label says its watt hours",
		Source:    spec.Source{Kind: spec.Regulation, Title: "49 CFR 171.8, Watt-hour", Clause: "rated capacity in ampere-hours times nominal voltage", Standing: spec.Read},
		Needs: []Input{needs(func(f *Facts) bool { return f.Pack.EnergyWh != nil || f.Pack.NominalVoltageV != nil },
			"/pack/energy_wh", "/pack/nominal_voltage_v")},
		Applies: func(f *Facts) bool { return f.Moving != nil && lithium(f) },
		Check: func(f *Facts, out *Out) {
			m := f.Moving
			if off := (m.EnergyWh/m.LeastWh - 1) * 100; beyond(off, out.Limit(0)) {
				out.Hit(0, off, out.Limit(0), fmt.Sprintf("the figures of the label make anything from %s to %s Wh, %s %% apart; %s Wh is judged",
					spec.Short(m.LeastWh), spec.Short(m.EnergyWh), spec.Beside(off, out.Limit(0)), spec.Short(m.EnergyWh)), "/pack")
			}
		},
	}
}
