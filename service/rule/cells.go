package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// cellRules judge the rested cells.
func cellRules() []Rule {
	return []Rule{cellOvercharged(), cellBelowFloor(), cellDeeplyDischarged(), outOfBalance(), voltageTellsLittle()}
}

func cellOvercharged() Rule {
	return Rule{
		ID: "cell-overcharged", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Stop, 10, "mv")},
		Title:     "A rested cell is above its full voltage",
		Rationale: "An overcharged lithium cell plates metal and can catch fire, at once or on its next charge. It may also mean that chemistry or cell count are wrong.",
		Remedy:    "do not charge it; check chemistry, cells_series and the meter; if the reading is right, keep the pack away from anything that burns and take it to a recycling point",
		Source:    spec.Source{Kind: spec.Paper, Title: "H. Maleki et al., J. Power Sources 263, 223-230", Clause: "4.2 and 4.35 V as the upper limits; the 10 mV for meter error are common practice", Year: 2014, Standing: spec.Read},
		Value:     "(max($rested_v) - chem.full_cell_v) * 1000",
		Needs:     []Input{restedVoltage()},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			high := f.highestRested()
			full := f.Chemistry.FullV.Value
			over := (high.v - full) * 1000
			if over <= out.Limit(0)+1e-6 {
				return
			}
			out.Hit(0, over, out.Limit(0), fmt.Sprintf("%s %s V, %s mV above the %s V of a full %s cell", high.what(), spec.Short3(high.v), spec.Beside(over, out.Limit(0)), spec.Plain(full), f.Pack.Chemistry), high.at())
		},
	}
}

func cellBelowFloor() Rule {
	return Rule{
		ID: "cell-below-floor", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{{Severity: spec.Stop, Unit: "v"}},
		Title:     "A cell rests below the voltage from which it may be charged again",
		Rationale: "Copper dissolves in a cell that was run flat and grows bridges when it is charged; such a cell can short and burn.",
		Remedy:    "do not charge it; measure again at the lead, since a reading near 0 V may be a broken balance wire, and take the pack to a recycling point",
		Source:    spec.Practice("a lithium cell resting below its hard floor (2.5 V for the 4.2 V types) is not charged again"),
		Value:     "min($rested_v)",
		Against:   "chem.floor_cell_v",
		Needs:     []Input{restedVoltage()},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			low := f.lowestRested()
			if floor := f.Chemistry.FloorV.Value; low.v < floor {
				out.Hit(0, low.v, floor, fmt.Sprintf("%s %s V, below the floor of %s V", low.what(), spec.Beside(low.v, floor), spec.Plain(floor)), low.at())
			}
		},
	}
}

func cellDeeplyDischarged() Rule {
	return Rule{
		ID: "cell-deeply-discharged", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{{Severity: spec.Caution, Unit: "v"}},
		Title:     "A cell is deeply discharged",
		Rationale: "A cell that has been this low may be damaged. It is raised at a low rate first, and watched.",
		Remedy:    "charge at the recovery current until every cell rests above the safe-start voltage, feel for warmth, and give the pack up if a cell lags or warms",
		Source:    spec.Source{Kind: spec.Guidance, Title: "Lancashire Fire and Rescue Service, lithium batteries", Clause: "they do not like being discharged to a very low voltage", Standing: spec.Read},
		Value:     "min($rested_v)",
		Against:   "chem.safe_start_cell_v",
		Needs:     []Input{restedVoltage()},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			low := f.lowestRested()
			if safe := f.Chemistry.SafeStartV.Value; low.v < safe && low.v >= f.Chemistry.FloorV.Value {
				out.Hit(0, low.v, safe, fmt.Sprintf("%s %s V, below the safe-start voltage of %s V: the charge begins at a low rate", low.what(), spec.Beside(low.v, safe), spec.Plain(safe)), low.at())
			}
		},
	}
}

func outOfBalance() Rule {
	return Rule{
		ID: "cells-out-of-balance", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 30, "mv"), from(spec.Stop, 300, "mv").remedy("do not charge it; measure the cells again at the lead, and give the pack up if they are as far apart")},
		Title:     "The cells are out of balance",
		Rationale: "The highest cell is full while the others are not: without balancing it is overcharged. A wide spread means that a cell is failing.",
		Remedy:    "charge with the balance lead connected and watch the single cells",
		Source:    spec.Practice("from 30 mV apart at rest a pack wants balancing; from 300 mV on a cell is bad"),
		Value:     "(max(pack.cell_voltages_v) - min(pack.cell_voltages_v)) * 1000",
		Needs:     []Input{cellVoltages()},
		Applies:   lithiumCells,
		Check: func(f *Facts, out *Out) {
			spread := f.spreadV() * 1000
			level := out.Worst(func(limit float64) bool { return spread >= limit-1e-6 })
			if level < 0 {
				return
			}
			low, high := f.lowestRested(), f.highestRested()
			out.Hit(level, spread, out.Limit(level), fmt.Sprintf("the cells rest %s mV apart, from %s to %s V", spec.Short(spread), spec.Short3(low.v), spec.Short3(high.v)), low.at(), high.at())
		},
	}
}

func voltageTellsLittle() Rule {
	return Rule{
		ID: "voltage-tells-little", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Note, cell.Flat*100, "percent")},
		Title:     "The rested voltage says little about the charge",
		Rationale: "On the flat middle of the curve a few millivolts stand for a third of the charge, so the time can only be given as a wide range, and cells cannot be told apart.",
		Remedy:    "give charge_percent from what was taken out, or charge to full and count from there",
		Source:    spec.Source{Kind: spec.Paper, Title: "E. Prada et al., J. Electrochem. Soc. 160, A616", Clause: "the curve of lithium iron phosphate moves 19 mV between 40 and 70 %", Year: 2013, Standing: spec.Read},
		Value:     "(first(chem.open_circuit(z) >= mean($rested_v) + chem.curve_uncertainty_v, z, 0 - 1, 1) - first(chem.open_circuit(z) >= mean($rested_v) - chem.curve_uncertainty_v, z, 0 - 1, 1)) * 100",
		Needs:     []Input{restedVoltage()},
		Applies:   lithium,
		Check: func(f *Facts, out *Out) {
			v, _ := f.restedPackV()
			v /= float64(f.Pack.CellsSeries)
			off := f.Chemistry.CurveFrom.Value
			low, high := f.Chemistry.Curve.Charge(v-off)*100, f.Chemistry.Curve.Charge(v+off)*100
			if wide := high - low; beyond(wide, out.Limit(0)) {
				at := "/pack/cell_voltages_v"
				if f.Pack.PackVoltageV != nil {
					at = "/pack/pack_voltage_v"
				}
				out.Hit(0, wide, out.Limit(0), fmt.Sprintf("%s V a cell may stand for anything from %s to %s %% of charge", spec.Short3(v), spec.Short(max(low, 0)), spec.Short(high)), at)
			}
		},
	}
}
