package charge

import (
	"fmt"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
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
	e.set("joined.capacity_mah", "mah", whole.CapacityMAh, each(" + ", "each.capacity_mah"))
	if whole.CellVoltagesV != nil {
		e.list("joined.cell_voltages_v", "v", whole.CellVoltagesV, "("+each(" + ", "each.cell_voltages_v * each.capacity_mah")+") / joined.capacity_mah")
	}
	if whole.CellResistancesMOhm != nil {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = "1 / (" + path(i) + ".cell_resistances_mohm" + overMethod(packs[i].ResistanceMethod) + ")"
		}
		e.list("joined.cell_resistances_mohm", "mohm", whole.CellResistancesMOhm, "1 / ("+strings.Join(parts, " + ")+")")
	}
	if whole.MeasuredCapacityMAh != nil {
		parts := make([]string, len(packs))
		for i := range packs {
			parts[i] = path(i) + ".capacity_mah"
			if packs[i].MeasuredCapacityMAh != nil {
				parts[i] = path(i) + ".measured_capacity_mah"
			}
		}
		e.set("joined.measured_capacity_mah", "mah", *whole.MeasuredCapacityMAh, strings.Join(parts, " + "))
	}
	if whole.MassG != nil {
		e.set("joined.mass_g", "g", *whole.MassG, each(" + ", "each.mass_g"))
	}
	if t := whole.TemperatureDegC; t != nil {
		i := slices.IndexFunc(packs, func(p spec.Pack) bool { return p.TemperatureDegC != nil && *p.TemperatureDegC == *t })
		e.set("joined.temperature_degc", "degc", *t, path(i)+".temperature_degc")
	}
	if n := whole.Cycles; n != nil {
		i := slices.IndexFunc(packs, func(p spec.Pack) bool { return p.Cycles != nil && *p.Cycles == *n })
		e.set("joined.cycles", "count", float64(*n), path(i)+".cycles")
	}
	if r := whole.MaxDischargeCRate; r != nil {
		e.set("joined.max_discharge_c_rate", "c_rate", *r, "min("+each(", ", "each.max_discharge_c_rate")+")")
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
		e.set("joined.max_charge_c_rate", "c_rate", *r, "min("+strings.Join(parts, ", ")+")")
	}
}

// overMethod turns a reading by another method into what a 1 kHz meter shows.
func overMethod(m spec.ResistanceMethod) string {
	switch m {
	case spec.DC10s:
		return " / constant.ten_second_ratio"
	case spec.DCShort:
		return " / constant.one_second_ratio"
	}
	return ""
}

// model describes the pack in SI units (package cell).
func (e *explainer) model() {
	m, p := &e.w.model, e.w.pack
	e.assumed("pack.measured_capacity_mah", p.CapacityMAh, "whole.capacity_mah")
	e.set("rated_ah", "ampere hour", p.CapacityMAh/1000, "whole.capacity_mah / 1000")
	e.set("capacity_c", "coulomb", m.Coulomb.Expected, "whole.measured_capacity_mah * 3.6")
	from := "label"
	if p.MeasuredCapacityMAh != nil {
		from = "measured"
	}
	e.set("capacity_low_c", "coulomb", m.Coulomb.Low, "capacity_c * constant."+from+"_capacity_low")
	e.set("capacity_high_c", "coulomb", m.Coulomb.High, "capacity_c * constant."+from+"_capacity_high")
	e.thermal()
	e.startOfCharge()
	e.resistance()
}

func (e *explainer) thermal() {
	w := e.w
	t, room := w.model.Thermal, w.q.Surroundings != nil && w.q.Surroundings.AmbientDegC != nil
	switch {
	case room:
		e.assumed("pack.temperature_degc", t.StartDegC, "surroundings.ambient_degc")
	case w.pack.TemperatureDegC != nil:
		e.assumed("surroundings.ambient_degc", t.AmbientDegC, "whole.temperature_degc")
	default:
		e.assumed("pack.temperature_degc", t.StartDegC, "constant.room_degc")
		e.assumed("surroundings.ambient_degc", t.AmbientDegC, "constant.room_degc")
	}
	e.set("ambient_degc", "degc", t.AmbientDegC, "surroundings.ambient_degc")
	e.set("start_degc", "degc", t.StartDegC, "whole.temperature_degc")
	grams := float64(w.pack.CellsSeries) * w.facts.Chemistry.NominalV.Value * w.model.RatedC / w.facts.Chemistry.EnergyJKg.Value * 1000
	e.assumed("pack.mass_g", grams, "pack.cells_series * chem.nominal_cell_v * whole.capacity_mah * 3.6 / chem.specific_energy * 1000")
	e.set("heat_capacity", "joule per kelvin", t.HeatCapacityJK, "whole.mass_g / 1000 * constant.specific_heat")
	e.set("conductance", "watt per kelvin", t.ConductanceWK,
		"constant.box_area * (whole.mass_g / 1000 / constant.density / constant.box_volume) ^ (2 / 3) * constant.still_air")
	e.set("thermal_time_s", "s", t.TimeConstant(), "heat_capacity / conductance")
}

func (e *explainer) startOfCharge() {
	m := &e.w.model
	if e.w.facts.Chemistry.Curve != nil {
		e.function("charge_at", "u", "ratio", "first(chem.open_circuit(z) >= u, z, 0 - 1, 1)")
	}
	list := func(id string, pick cell.Pick, formula string) {
		values := make([]float64, len(m.Groups))
		for i := range m.Groups {
			values[i] = m.Groups[i].Charge.At(pick)
		}
		e.list(id, "ratio", values, formula)
	}
	switch m.From {
	case cell.CellVoltages:
		volts := "whole.cell_voltages_v"
		if m.Leveled {
			volts = "repeat(mean(whole.cell_voltages_v), pack.cells_series)"
		}
		list("cell_charge", cell.Expected, "charge_at("+volts+")")
		list("cell_charge_low", cell.Low, "charge_at("+volts+" - chem.curve_uncertainty_v)")
		list("cell_charge_high", cell.High, "charge_at("+volts+" + chem.curve_uncertainty_v)")
	case cell.PackVoltage:
		const volt = "repeat(charge_at(pack.pack_voltage_v / pack.cells_series%s), pack.cells_series)"
		list("cell_charge", cell.Expected, fmt.Sprintf(volt, ""))
		list("cell_charge_low", cell.Low, fmt.Sprintf(volt, " - chem.curve_uncertainty_v"))
		list("cell_charge_high", cell.High, fmt.Sprintf(volt, " + chem.curve_uncertainty_v"))
	case cell.ChargePercent:
		list("cell_charge", cell.Expected, "repeat(pack.charge_percent / 100, pack.cells_series)")
		list("cell_charge_low", cell.Low, "repeat(max(pack.charge_percent / 100 - constant.guess_off, 0), pack.cells_series)")
		list("cell_charge_high", cell.High, "repeat(min(pack.charge_percent / 100 + constant.guess_off, 1), pack.cells_series)")
	default:
		list("cell_charge", cell.Expected, "repeat(pack.charge_percent / 100, pack.cells_series)")
		list("cell_charge_low", cell.Low, "cell_charge")
		list("cell_charge_high", cell.High, "repeat(constant.landed_full, pack.cells_series)")
	}
}

func (e *explainer) resistance() {
	w := e.w
	if w.facts.Chemistry.Curve == nil {
		return
	}
	m, p := &w.model, w.pack
	ohms := make([]float64, len(m.Groups))
	for i := range m.Groups {
		ohms[i] = m.Groups[i].Ohm.Expected
	}
	low, high := w.ohmRange()
	ranges := "typical_resistance"
	if m.Measured {
		method := p.ResistanceMethod
		ranges = "ac_1khz"
		if method != "" {
			ranges = string(method)
		}
		e.list("cell_ohm", "ohm", ohms, "whole.cell_resistances_mohm / 1000"+overMethod(method)+" * (1 + chem.polarization_factor)")
	} else {
		e.newResistance(ohms[0] / (1 + w.facts.Chemistry.PolarFactor.Value))
		if p.MaxDischargeCRate != nil {
			ranges = "printed_resistance"
		}
		e.list("cell_ohm", "ohm", ohms, "repeat(whole.cell_resistances_mohm / 1000 * (1 + chem.polarization_factor), pack.cells_series)")
	}
	e.set("ohm_low", "ratio", low, "constant."+ranges+"_low")
	e.set("ohm_high", "ratio", high, "constant."+ranges+"_high")
}

// newResistance describes the resistance taken where none was measured.
func (e *explainer) newResistance(ohm float64) {
	p := e.w.pack
	rate := ""
	if p.MaxDischargeCRate != nil {
		rate = "whole.max_discharge_c_rate"
	}
	wear := ""
	switch {
	case p.MeasuredCapacityMAh != nil:
		wear = " * min(1 + constant.resistance_of_wear * max(0, 1 - whole.measured_capacity_mah / whole.capacity_mah), constant.ageing_most)"
	case p.Cycles != nil:
		wear = " * min(1 + constant.resistance_of_cycle * whole.cycles, constant.ageing_most)"
	}
	e.assumed("pack.cell_resistances_mohm", ohm*1000, rule.NewReading(rate, "rated_ah", "start_degc")+wear+" * 1000")
}
