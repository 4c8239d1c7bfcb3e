package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// pairingRules judge whether this charger may charge this pack at all.
func pairingRules() []Rule {
	return []Rule{chemistryNotSupported(), cellCountNotSupported(), cellCountSetByHand(), cellCountSetWrong(), cannotBalance(), unseenOvercharge()}
}

func chemistryNotSupported() Rule {
	return Rule{
		ID: "chemistry-not-supported", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Stop)},
		Title:     "The charger has no program for this chemistry",
		Rationale: "Another chemistry's program ends at another voltage, or by another sign altogether.",
		Remedy:    "use a charger with a program for this chemistry",
		Source:    declaredMethod(),
		Needs:     []Input{aCharger()},
		Check: func(f *Facts, out *Out) {
			if !f.Charger.Supports(f.Pack.Chemistry) {
				out.Say(0, fmt.Sprintf("the pack is %s, and the charger has programs only for %s", f.Pack.Chemistry, list(f.Charger.Chemistries)), "/pack/chemistry", "/charger/chemistries")
			}
		},
	}
}

func list(words []spec.Chemistry) string {
	s := ""
	for i, w := range words {
		switch {
		case i > 0 && i == len(words)-1:
			s += " and "
		case i > 0:
			s += ", "
		}
		s += string(w)
	}
	return s
}

func cellCountNotSupported() Rule {
	return Rule{
		ID: "cell-count-not-supported", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Stop)},
		Title:     "The charger does not charge this many cells",
		Rationale: "Set to another count, the charger ends at another voltage: too high a count overcharges every cell, too low a one never fills them or faults.",
		Remedy:    "use a charger whose range holds this cell count; never split a pack or join packs in series to make it fit",
		Source:    declaredMethod(),
		Needs:     []Input{aCharger()},
		Check: func(f *Facts, out *Out) {
			n, c := f.Pack.CellsSeries, f.Charger
			if n < c.CellsSeriesMin || n > c.CellsSeriesMax {
				takes := fmt.Sprintf("%d to %d", c.CellsSeriesMin, c.CellsSeriesMax)
				if c.CellsSeriesMin == c.CellsSeriesMax {
					takes = fmt.Sprintf("%d only", c.CellsSeriesMin)
				}
				out.Say(0, fmt.Sprintf("the pack has %d cells in series, and the charger takes %s", n, takes), "/pack/cells_series", "/charger/cells_series_min", "/charger/cells_series_max")
			}
		},
	}
}

func cellCountSetByHand() Rule {
	return Rule{
		ID: "cell-count-set-by-hand", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Note), at(spec.Caution)},
		Title:     "The cell count is set by hand",
		Rationale: "One cell too many in the setting overcharges every cell. Where the pack's voltage fits two counts, the charger cannot notice.",
		Remedy:    "count the cells (a balance lead has one wire more), set that count, and check the voltage the charger shows before starting",
		Source:    spec.Practice("a balance lead has one wire more than cells"),
		Needs:     []Input{chargerField("cell_count", func(c *spec.Charger) bool { return c.CellCount != "" })},
		Applies:   func(f *Facts) bool { return f.Charger == nil || f.Charger.CellsSeriesMin < f.Charger.CellsSeriesMax },
		Check: func(f *Facts, out *Out) {
			if f.Charger.CellCount != spec.CellCountSetByHand {
				return
			}
			n := f.Pack.CellsSeries
			if other := f.otherCount(); other > 0 {
				v, _ := f.restedPackV()
				out.Say(1, fmt.Sprintf("the cell count is set by hand, and the pack's %s V fits %d cells as well as %d", spec.Short3(v), other, n), "/charger/cell_count", "/pack/cells_series")
				return
			}
			out.Say(0, fmt.Sprintf("the cell count is set by hand: set %d and verify it", n), "/charger/cell_count", "/pack/cells_series")
		},
	}
}

// otherCount is another cell count, within the charger's range, that the
// pack's rested voltage would fit too, or 0.
func (f *Facts) otherCount() int {
	v, known := f.restedPackV()
	if !known || !lithium(f) {
		return 0
	}
	for _, n := range [2]int{f.Pack.CellsSeries + 1, f.Pack.CellsSeries - 1} {
		fits := v >= float64(n)*f.Chemistry.SafeStartV.Value && v <= float64(n)*f.Chemistry.FullV.Value
		if fits && n >= f.Charger.CellsSeriesMin && n <= f.Charger.CellsSeriesMax {
			return n
		}
	}
	return 0
}

func cellCountSetWrong() Rule {
	return Rule{
		ID: "cell-count-set-wrong", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Stop)},
		Title:     "The cell count set is not that of the pack",
		Rationale: "One cell too many in the setting charges every cell far past its full voltage: fire follows.",
		Remedy:    "set the pack's own cell count (a balance lead has one wire more)",
		Source:    nameplate("2.21: in series, voltages add"),
		Needs:     []Input{needs(func(f *Facts) bool { return f.ProgramCells != nil }, "/settings/cells_series")},
		Check: func(f *Facts, out *Out) {
			if set := *f.ProgramCells; set != f.Pack.CellsSeries {
				out.Say(0, fmt.Sprintf("%d cells are set, and the pack has %d", set, f.Pack.CellsSeries), "/settings/cells_series", "/pack/cells_series")
			}
		},
	}
}

func cannotBalance() Rule {
	return Rule{
		ID: "charger-cannot-balance", Family: OnCharger, ChargeOnly: true, Since: "0.1.0", Levels: []Level{at(spec.Caution), from(spec.Stop, 30, "mv")},
		Title:     "The charger does not balance the cells",
		Rationale: "Without balancing the charger sees only the sum: a cell that is ahead of the others is overcharged unseen.",
		Remedy:    "use a balancing charger, or check every cell before, near the end of and after the charge",
		Source:    spec.Practice("multi-cell lithium packs are charged with their balance lead connected"),
		Value:     "(max(pack.cell_voltages_v) - min(pack.cell_voltages_v)) * 1000",
		Needs:     []Input{aCharger()},
		Applies:   lithiumCells,
		Check: func(f *Facts, out *Out) {
			if f.Charger.Balance != spec.BalanceNone {
				return
			}
			if len(f.Pack.CellVoltagesV) > 0 {
				if spread := f.spreadV() * 1000; spread >= out.Limit(1)-1e-6 {
					out.Hit(1, spread, out.Limit(1), fmt.Sprintf("the charger does not balance, and the cells rest %s mV apart", spec.Short(spread)), "/charger/balance", "/pack/cell_voltages_v")
					return
				}
			}
			out.Say(0, fmt.Sprintf("the charger does not balance the pack's %d cells", f.Pack.CellsSeries), "/charger/balance")
		},
	}
}

func unseenOvercharge() Rule {
	return Rule{
		ID: "unseen-cell-overcharged", Family: OnCharger, ChargeOnly: true, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 10, "mv"), from(spec.Stop, 50, "mv").remedy("use a balancing charger, or bring the cells together with one first")},
		Title:     "A cell would be overcharged unseen",
		Rationale: "A charger that does not see single cells holds only their sum. A cell that is ahead of the others passes its full voltage while the sum is still below its own.",
		Remedy:    "use a balancing charger; without one, watch the highest cell by hand from the middle of the charge on and stop when it reaches its full voltage",
		Source:    spec.Source{Kind: spec.Standard, Title: "IEC 62133-2:2017", Clause: "upper limit charging voltage 4.25 V: 50 mV above a 4.20 V cell's full voltage; computed on the open-circuit curve", Year: 2017, Standing: spec.FromMemory},
		Value:     "(unseen_high_v - chem.full_cell_v) * 1000",
		Needs:     []Input{charging(), cellVoltages()},
		Applies: func(f *Facts) bool {
			return lithiumCells(f) && (f.Charger == nil || f.Charger.Balance == spec.BalanceNone)
		},
		Check: func(f *Facts, out *Out) {
			full := f.Chemistry.FullV.Value
			over := (f.Charging.UnseenHighV - full) * 1000
			if i := out.Worst(func(limit float64) bool { return beyond(over, limit) }); i >= 0 {
				out.Hit(i, over, out.Limit(i), fmt.Sprintf("the charger holds only the sum of the cells: the highest would end at about %s V, %s mV above its full voltage", spec.Short3(full+over/1000), spec.Beside(over, out.Limit(i))), "/charger/balance", "/pack/cell_voltages_v")
			}
		},
	}
}
