package trace

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// OverMethod is what turns a reading by another method, in a formula, into what a 1 kHz meter
// shows.
func OverMethod(m spec.ResistanceMethod) string {
	switch m {
	case spec.DC10s:
		return " / constant.ten_second_ratio"
	case spec.DCShort:
		return " / constant.one_second_ratio"
	}
	return ""
}

// Model describes the pack p, or what a parallel board makes of several, in SI
// units as package cell does.
func (e *Explainer) Model(m *cell.Model, p *spec.Pack) {
	e.Assumption("pack.measured_capacity_mah", p.CapacityMAh, "whole.capacity_mah")
	e.Set("rated_ah", "ampere hour", p.CapacityMAh/1000, "whole.capacity_mah / 1000")
	e.Set("capacity_c", "coulomb", m.Coulomb.Expected, "whole.measured_capacity_mah * 3.6")
	from := "label"
	if p.MeasuredCapacityMAh != nil {
		from = "measured"
	}
	e.Set("capacity_low_c", "coulomb", m.Coulomb.Low, "capacity_c * constant."+from+"_capacity_low")
	e.Set("capacity_high_c", "coulomb", m.Coulomb.High, "capacity_c * constant."+from+"_capacity_high")
	e.thermal(m, p)
	e.startOfCharge(m)
	e.resistance(m, p)
}

func (e *Explainer) thermal(m *cell.Model, p *spec.Pack) {
	t := m.Thermal
	room := strings.ReplaceAll(strings.TrimPrefix(m.Ambient.At, "/"), "/", ".")
	switch {
	case m.Ambient.AmbientDegC != nil:
		e.Assumption("pack.temperature_degc", t.StartDegC, room)
	case p.TemperatureDegC != nil:
		e.Assumption(room, t.AmbientDegC, "whole.temperature_degc")
	default:
		e.Assumption("pack.temperature_degc", t.StartDegC, "constant.room_degc")
		e.Assumption(room, t.AmbientDegC, "constant.room_degc")
	}
	if room != "ambient_degc" { // else that field is the step
		e.Set("ambient_degc", "degc", t.AmbientDegC, room)
	}
	e.Set("start_degc", "degc", t.StartDegC, "whole.temperature_degc")
	grams := float64(p.CellsSeries) * e.chemistry.NominalV.Value * m.RatedC / e.chemistry.EnergyJKg.Value * 1000
	e.Assumption("pack.mass_g", grams, "pack.cells_series * chem.nominal_cell_v * whole.capacity_mah * 3.6 / chem.specific_energy * 1000")
	e.Set("heat_capacity", "joule per kelvin", t.HeatCapacityJK, "whole.mass_g / 1000 * constant.specific_heat")
	e.Set("conductance", "watt per kelvin", t.ConductanceWK,
		"constant.box_area * (whole.mass_g / 1000 / constant.density / constant.box_volume) ^ (2 / 3) * constant.still_air")
	e.Set("thermal_time_s", "s", t.TimeConstant(), "heat_capacity / conductance")
}

func (e *Explainer) startOfCharge(m *cell.Model) {
	if e.chemistry.Curve != nil {
		e.Function("charge_at", "u", "ratio", "first(chem.open_circuit(z) >= u, z, 0 - 1, 1)")
	}
	list := func(id string, pick cell.Pick, formula string) {
		values := make([]float64, len(m.Groups))
		for i := range m.Groups {
			values[i] = m.Groups[i].Charge.At(pick)
		}
		e.List(id, "ratio", values, formula)
	}
	switch m.From {
	case spec.FromCellVoltages:
		volts := "whole.cell_voltages_v"
		if m.Leveled {
			volts = "repeat(mean(whole.cell_voltages_v), pack.cells_series)"
		}
		list("cell_charge", cell.Expected, "charge_at("+volts+")")
		list("cell_charge_low", cell.Low, "charge_at("+volts+" - chem.curve_uncertainty_v)")
		list("cell_charge_high", cell.High, "charge_at("+volts+" + chem.curve_uncertainty_v)")
	case spec.FromPackVoltage:
		const volt = "repeat(charge_at(pack.pack_voltage_v / pack.cells_series%s), pack.cells_series)"
		list("cell_charge", cell.Expected, fmt.Sprintf(volt, ""))
		list("cell_charge_low", cell.Low, fmt.Sprintf(volt, " - chem.curve_uncertainty_v"))
		list("cell_charge_high", cell.High, fmt.Sprintf(volt, " + chem.curve_uncertainty_v"))
	case spec.FromChargePercent:
		list("cell_charge", cell.Expected, "repeat(pack.charge_percent / 100, pack.cells_series)")
		list("cell_charge_low", cell.Low, "repeat(max(pack.charge_percent / 100 - constant.guess_off, 0), pack.cells_series)")
		list("cell_charge_high", cell.High, "repeat(min(pack.charge_percent / 100 + constant.guess_off, 1), pack.cells_series)")
	default:
		list("cell_charge", cell.Expected, "repeat(pack.charge_percent / 100, pack.cells_series)")
		low, high := "cell_charge", "cell_charge"
		switch m.From {
		case spec.FromAssumedFull:
			low = "repeat(constant.charged_least, pack.cells_series)"
		case spec.FromAssumedAny:
			low = "0 * cell_charge"
		default:
			high = "repeat(constant.landed_full, pack.cells_series)"
		}
		list("cell_charge_low", cell.Low, low)
		list("cell_charge_high", cell.High, high)
	}
}

func (e *Explainer) resistance(m *cell.Model, p *spec.Pack) {
	whole := " * (1 + chem.polarization_factor)"
	if e.chemistry.PolarFactor.Value == 0 {
		whole = ""
	}
	ohms := make([]float64, len(m.Groups))
	for i := range m.Groups {
		ohms[i] = m.Groups[i].Ohm.Expected
	}
	low, high := m.OhmRange()
	ranges := "typical_resistance"
	if m.Measured {
		method := p.ResistanceMethod
		ranges = "ac_1khz"
		if method != "" {
			ranges = string(method)
		}
		e.List("cell_ohm", "ohm", ohms, "whole.cell_resistances_mohm / 1000"+OverMethod(method)+whole)
	} else {
		e.newResistance(p, ohms[0]/(1+e.chemistry.PolarFactor.Value))
		if p.MaxDischargeCRate != nil {
			ranges = "printed_resistance"
		}
		e.List("cell_ohm", "ohm", ohms, "repeat(whole.cell_resistances_mohm / 1000"+whole+", pack.cells_series)")
	}
	e.Set("ohm_low", "ratio", low, "constant."+ranges+"_low")
	e.Set("ohm_high", "ratio", high, "constant."+ranges+"_high")
}

// newResistance describes the resistance taken where none was measured.
func (e *Explainer) newResistance(p *spec.Pack, ohm float64) {
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
	e.Assumption("pack.cell_resistances_mohm", ohm*1000, rule.NewReading(rate, "rated_ah", "start_degc")+wear+" * 1000")
}
