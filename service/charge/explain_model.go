package charge

import (
	"fmt"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// joined describes what a parallel board makes of its packs (board.go).
func (e *explainer) joined() {
	w := e.w
	first, whole := &w.q.Pack, w.pack
	if whole == first {
		return
	}
	packs := append([]spec.Pack{*first}, w.boardPacks()...)
	path := func(i int) string {
		if i == 0 {
			return "pack"
		}
		return fmt.Sprintf("surroundings.parallel_board.%d", i-1)
	}
	each := func(sep, format string) string {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = strings.ReplaceAll(format, "each", path(i))
		}
		return strings.Join(parts, sep)
	}
	e.Set("joined.capacity_mah", "mah", whole.CapacityMAh, each(" + ", "each.capacity_mah"))
	if whole.CellVoltagesV != nil {
		e.List("joined.cell_voltages_v", "v", whole.CellVoltagesV, "("+each(" + ", "each.cell_voltages_v * each.capacity_mah")+") / joined.capacity_mah")
	}
	if whole.CellResistancesMOhm != nil {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = "1 / (" + path(i) + ".cell_resistances_mohm" + trace.OverMethod(packs[i].ResistanceMethod) + ")"
		}
		e.List("joined.cell_resistances_mohm", "mohm", whole.CellResistancesMOhm, "1 / ("+strings.Join(parts, " + ")+")")
	}
	if whole.MeasuredCapacityMAh != nil {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = path(i) + ".capacity_mah"
			if packs[i].MeasuredCapacityMAh != nil {
				parts[i] = path(i) + ".measured_capacity_mah"
			}
		}
		e.Set("joined.measured_capacity_mah", "mah", *whole.MeasuredCapacityMAh, strings.Join(parts, " + "))
	}
	if whole.MassG != nil {
		e.Set("joined.mass_g", "g", *whole.MassG, each(" + ", "each.mass_g"))
	}
	if t := whole.TemperatureDegC; t != nil {
		i := slices.IndexFunc(packs, func(p spec.Pack) bool { return p.TemperatureDegC != nil && *p.TemperatureDegC == *t })
		e.Set("joined.temperature_degc", "degc", *t, path(i)+".temperature_degc")
	}
	if n := whole.Cycles; n != nil {
		i := slices.IndexFunc(packs, func(p spec.Pack) bool { return p.Cycles != nil && *p.Cycles == *n })
		e.Set("joined.cycles", "count", float64(*n), path(i)+".cycles")
	}
	if r := whole.MaxDischargeCRate; r != nil {
		e.Set("joined.max_discharge_c_rate", "c_rate", *r, "min("+each(", ", "each.max_discharge_c_rate")+")")
	}
	if r := whole.MaxChargeCRate; r != nil {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = "chem.default_charge_c_rate"
			if _, printed := rule.LabelCurrent(&rule.Facts{Pack: &packs[i], Chemistry: w.facts.Chemistry}); printed {
				parts[i] = path(i) + ".max_charge_c_rate"
				if w.facts.Chemistry.Fast.MostC.Value > 0 {
					parts[i] = "min(" + parts[i] + ", chem.most_fast_c_rate)"
				}
			}
		}
		e.Set("joined.max_charge_c_rate", "c_rate", *r, "min("+strings.Join(parts, ", ")+")")
	}
}
