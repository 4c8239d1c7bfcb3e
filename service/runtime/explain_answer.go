package runtime

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// judged describes what the rules look at.
func (e *explainer) judged() {
	w := e.w
	d := &w.draw
	e.Set("rested_pack_v", "v", w.restedV, "sum(rested_v(cell_charge))")
	e.Set("most_a", "a", w.mostA, "max(min((rested_v(cell_charge) - cutoff.cell_voltage_v) / cell_ohmic), 0)")
	e.Set("best_a", "a", w.bestA, "max(min(most_a, rested_pack_v / (2 * sum(cell_ohmic))), 0)")
	e.Set("most_w", "w", w.mostW, "best_a * (rested_pack_v - best_a * sum(cell_ohmic))")
	asked, power := "load.current_a", "load.power_w"
	switch d.Kind {
	case sim.LoadResistance:
		asked = "max(rested_pack_v, 0) / (sum(cell_ohmic) + load.resistance_ohm)"
	case sim.LoadCycle:
		asked, power = "max(segment_a)", "max(segment_w)"
	}
	e.Set("asked_a", "a", w.askedA, asked)
	e.Set("asked_w", "w", w.askedW, power)
	e.extremes()
	steady := "peak_a"
	if (d.Kind == sim.LoadResistance || d.Kind == sim.LoadCycle) && w.run0.Seconds > 0 {
		steady = "sqrt(entry(end_state, 4) / expected_s)"
		if d.Kind == sim.LoadCycle {
			steady = "max(" + steady + ", max(if(segment_s > constant.burst_s, max(segment_a, segment_w / max(lowest_pack_v, cutoff.cell_voltage_v)), 0)))"
		}
	}
	e.Set("steady_a", "a", w.steadyA, steady)
	if w.wireA > 0 {
		const bare = "constant.wire_gauge_36_m * constant.wire_gauge_ratio ^ ((36 - pack.main_lead.wire_awg) / 39)"
		e.Set("wire_diameter_m", "m", cell.WireDiameter(*w.q.Pack.MainLead.WireAWG), bare)
		e.Set("wire_a", "a", w.wireA, "sqrt(constant.wire_film * pi * wire_diameter_m * constant.insulated_ratio * (constant.wire_limit_degc - constant.wire_ambient_degc) / (constant.copper_resistivity * (1 + constant.copper_per_k * (constant.wire_limit_degc - constant.copper_at_degc)) / (pi / 4 * wire_diameter_m ^ 2)))")
	}
}

// extremes describes the largest current and the lowest voltages. In a constant load they
// lie at the end, of a resistor anywhere; in a cycle they are those of the last two cycles, at
// the ends of the segments, since from cycle to cycle every voltage falls.
func (e *explainer) extremes() {
	w := e.w
	r := &w.run0
	peak, pack, one := "asked_a", "", ""
	const q, now = "drawn_c", "entry(end_state, 1)"
	e.Function("pack_v", "q w c z u", "v", "driving_v(q, w, c, z, 1) - u * sum(cell_ohmic)")
	e.Function("cell_v", "q w c z u", "v", "min(rested_v(z - q / c) - u * cell_ohmic - w * cell_polar)")
	switch w.draw.Kind {
	case sim.LoadCurrent:
		pack = "pack_v(" + q + ", " + now + ", capacity_c, cell_charge, load.current_a)"
		one = "cell_v(" + q + ", " + now + ", capacity_c, cell_charge, load.current_a)"
	case sim.LoadPower:
		peak = "power_a(load.power_w, driving_v(" + q + ", " + now + ", " + expected + "), 1)"
		pack, one = "pack_v("+q+", "+now+", capacity_c, cell_charge, peak_a)", "cell_v("+q+", "+now+", capacity_c, cell_charge, peak_a)"
	case sim.LoadResistance:
		const at = "(q, entry(state_of(q, " + expected + "), 1), capacity_c, cell_charge, flow_a(q, entry(state_of(q, " + expected + "), 1), " + expected + "))"
		pack, one = "0 - greatest(0 - pack_v"+at+", q, 0, drawn_c)", "0 - greatest(0 - cell_v"+at+", q, 0, drawn_c)"
	default:
		at := func(what string) string {
			return what + "(entry(state_of(t, " + expected + "), 0), entry(state_of(t, " + expected + "), 1), capacity_c, cell_charge, amps_of(t, " + expected + ", m))"
		}
		e.Function("pack_v_at", "t m", "v", at("pack_v"))
		e.Function("cell_v_at", "t m", "v", at("cell_v"))
		both := func(id, reduce, value string) string {
			last := fmt.Sprintf(value, "expected_s", "expected_segment")
			e.Function(id, "u k", "v", "if(begin_s(u, k) <= expected_s, "+reduce+"("+fmt.Sprintf(value, "begin_s(u, k)", "u")+", "+fmt.Sprintf(value, "min(begin_s(u, k) + entry(segment_s, u), expected_s)", "u")+"), "+last+")")
			return reduce + "(" + reduce + "(" + id + "(segment_numbers, expected_cycles)), " + reduce + "(" + id + "(segment_numbers, max(expected_cycles - 1, 0))))"
		}
		pack, one = both("low_pack_v", "min", "pack_v_at(%s, %s)"), both("low_cell_v", "min", "cell_v_at(%s, %s)")
		if e.any(func(s *spec.Segment) bool { return s.PowerW != nil }) {
			peak = "max(asked_a, " + both("high_a", "max", "amps_of(%s, "+expected+", %s)") + ")"
		}
	}
	e.Set("peak_a", "a", w.peakA(), peak)
	e.Set("lowest_pack_v", "v", r.LowestPackV, pack)
	e.Set("lowest_cell_v", "v", r.LowestCellV, one)
}

// answer shows every number of the answer.
func (e *explainer) answer() {
	w, o := e.w, e.w.out
	r := &w.run0
	e.SetShown("/runtime/expected_min", "expected_min", "min", r.Seconds/minute, "expected_s / 60")
	e.SetShown("/runtime/low_min", "low_min", "min", w.span.low/minute, "low_s / 60")
	e.SetShown("/runtime/high_min", "high_min", "min", w.span.high/minute, "high_s / 60")
	for i := range o.Runtime.Drivers {
		by, id := w.span.byResists, "by_resistance_s"
		switch o.Runtime.Drivers[i].Field {
		case "/pack/measured_capacity_mah":
			by, id = w.span.byCapacity, "by_capacity_s"
		case "/pack/cell_voltages_v", "/pack/charge_percent":
			by, id = w.span.byStart, "by_start_s"
		}
		e.SetShown(fmt.Sprintf("/runtime/drivers/%d/widens_min", i), fmt.Sprintf("driver.%d.widens_min", i), "min", by/minute, id+" / 60")
	}
	if o.CyclesCompleted != nil {
		e.Show("/cycles_completed", "expected_cycles")
	}
	if o.PacksFor != nil {
		e.SetShown("/packs_for", "packs_for", "packs", w.packsFor(r.Seconds), "max(ceil(session_min * 60 / expected_s * (1 - 1e-9)), 1)")
	}
	if o.PacksForSurely != nil {
		e.SetShown("/packs_for_surely", "packs_for_surely", "packs", w.packsFor(w.span.low), "max(ceil(session_min * 60 / low_s * (1 - 1e-9)), 1)")
	}
	e.energy()
	e.SetShown("/mean_current_a", "mean_current_a", "a", w.meanA(), "if(expected_s > 0, drawn_c / expected_s, 0)")
	e.Show("/peak_current_a", "peak_a")
	e.SetShown("/peak_c_rate", "peak_c_rate", "c_rate", w.peakA()/(w.model.RatedC/wattHour), "peak_a / rated_ah")
	e.SetShown("/lowest_voltage_v", "lowest_voltage_v", "v", max(r.LowestPackV, 0), "max(lowest_pack_v, 0)")
	e.SetShown("/lowest_cell_v", "lowest_shown_v", "v", max(r.LowestCellV, 0), "max(lowest_cell_v, 0)")
	if v, known := w.leadDropV(); known {
		e.SetShown("/lead_drop_v", "lead_drop_v", "v", v, "peak_a * 2 * pack.main_lead.length_mm / 1000 * constant.copper_resistivity / (pi / 4 * wire_diameter_m ^ 2)")
	}
	e.alarm()
	e.temperature()
	e.starts()
	e.curve()
	for i := range o.Findings {
		e.Finding(fmt.Sprintf("/findings/%d", i), &o.Findings[i], w.facts, "pack.")
	}
	e.ShowAssumed()
}

func (e *explainer) energy() {
	w := e.w
	r := &w.run0
	e.SetShown("/usable_mah", "usable_mah", "mah", r.Coulombs/milliampHour, "drawn_c / 3.6")
	stored := "capacity_c * sum(integral(chem.open_circuit(x), x, cell_end, cell_charge))"
	if w.draw.Curve == nil {
		stored = "flat_v * pack.cells_series * drawn_c"
	}
	ends := make([]float64, len(w.model.Groups))
	for i := range ends {
		ends[i] = w.model.Groups[i].Charge.Expected - r.Coulombs/w.model.Coulomb.Expected
	}
	e.List("cell_end", "ratio", ends, "cell_charge - drawn_c / capacity_c")
	e.Set("stored_j", "joule", r.StoredJ, stored)
	e.Set("heat_j", "joule", r.HeatJ, "entry(end_state, 3)")
	e.SetShown("/energy_wh", "energy_wh", "wh", r.EnergyJ()/wattHour, "(stored_j - heat_j) / 3600")
	e.SetShown("/heat_wh", "heat_wh", "wh", r.HeatJ/wattHour, "heat_j / 3600")
	if w.out.SagV != nil {
		e.SetShown("/sag_v", "sag_v", "v", r.HeatJ/r.Coulombs, "heat_j / drawn_c")
	}
}

// alarm shows the voltage of the alarm. Where heat ended the run, it is of the run that goes
// on until something else ends it, of which the trace has the end alone.
func (e *explainer) alarm() {
	w := e.w
	v, known := w.alarmV()
	if !known {
		return
	}
	formula := "max(lowest_cell_v, cutoff.cell_voltage_v)"
	if w.run0.Stop == sim.StopTemperature && w.alarm.Stop != sim.StopTemperature {
		e.cooled()
		formula = "max(cooled_cell_v, cutoff.cell_voltage_v)"
	}
	e.SetShown("/alarm_cell_voltage_v", "alarm_cell_voltage_v", "v", v, formula)
}

func (e *explainer) temperature() {
	w := e.w
	r, t := &w.run0, w.model.Thermal
	peak := "max(start_degc, end_degc)"
	switch {
	case w.draw.Kind == sim.LoadResistance:
		peak = "ambient_degc + greatest(entry(state_of(q, " + expected + "), 2), q, 0, drawn_c)"
	case w.draw.Kind == sim.LoadCycle:
		peak = "max(start_degc, ambient_degc + greatest(entry(state_of(t, " + expected + "), 2), t, max(expected_s - cycle_s, 0), expected_s))"
	}
	e.Set("end_degc", "degc", r.EndDegC, "ambient_degc + entry(end_state, 2)")
	e.Set("peak_degc", "degc", r.PeakDegC, peak)
	const at = "/temperature/"
	e.Show(at+"ambient_degc", "ambient_degc")
	e.Show(at+"start_degc", "start_degc")
	e.SetShown(at+"rise_k", "rise_k", "k", r.PeakDegC-t.StartDegC, "peak_degc - start_degc")
	e.Show(at+"peak_degc", "peak_degc")
	e.Show(at+"end_degc", "end_degc")
	e.SetShown(at+"adiabatic_degc", "adiabatic_degc", "degc", max(t.StartDegC, t.AmbientDegC)+r.HeatJ/t.HeatCapacityJK, "max(start_degc, ambient_degc) + heat_j / heat_capacity")
}

func (e *explainer) starts() {
	w := e.w
	list := make([]float64, len(w.model.Groups))
	sum := 0.0
	for i := range list {
		list[i] = max(w.model.Groups[i].Charge.Expected, 0) * 100
		sum += list[i]
	}
	e.SetShown("/start/charge_percent", "start_percent", "percent", sum/float64(len(list)), "mean(max(cell_charge, 0)) * 100")
	e.ListShown("/start/cell_charges_percent/*", "cell_percent", "percent", list, "max(cell_charge, 0) * 100")
}
