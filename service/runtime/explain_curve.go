package runtime

import "github.com/wattkeel/wattkeel/service/sim"

// cooled describes the lowest voltage of the run that no heat ends: where it reaches the reserve,
// or the cut-off.
func (e *explainer) cooled() {
	w := e.w
	a := &w.alarm
	if a.Stop != sim.StopReserve {
		e.Set("cooled_cell_v", "v", w.draw.CutoffV, "cutoff.cell_voltage_v")
		return
	}
	switch w.draw.Kind {
	case sim.LoadCycle:
		e.Search("cooled_s", "s", a.Seconds, "first(max(entry(state_of(t, "+expected+"), 0) / capacity_c - cell_charge) + cutoff.reserve_percent / 100 >= 0, t, expected_s, cycles_bound(capacity_c, cell_charge) * cycle_s)")
		// The dip of the cycle before, or of this one as far as it goes.
		e.Function("cooled_dip_v", "u k", "v", "if(begin_s(u, k) <= cooled_s, min(cell_v_at(begin_s(u, k), u), cell_v_at(min(begin_s(u, k) + entry(segment_s, u), cooled_s), u)), cell_v_at(cooled_s, segment_at(cooled_s)))")
		e.Set("cooled_cell_v", "v", a.LowestCellV, "min(min(cooled_dip_v(segment_numbers, floor(cooled_s / cycle_s))), min(cooled_dip_v(segment_numbers, max(floor(cooled_s / cycle_s) - 1, 0))))")
	default:
		const q = "reserve_c(capacity_c, cell_charge)"
		const now = "entry(state_of(" + q + ", " + expected + "), 1)"
		e.Set("cooled_cell_v", "v", a.LowestCellV, "cell_v("+q+", "+now+", capacity_c, cell_charge, flow_a("+q+", "+now+", "+expected+"))")
	}
}

// curve shows the samples; each column is a list.
func (e *explainer) curve() {
	w := e.w
	if len(w.out.Curve) == 0 {
		return
	}
	states, times := w.states(), w.times()
	column := func(name, unit, formula string, value func(*sim.DrawState) float64) {
		values := make([]float64, len(states))
		for i := range states {
			values[i] = value(&states[i])
		}
		e.ListShown("/curve/*/"+name, "curve."+name, unit, values, formula)
	}
	formula := "range(0, curve_points - 1) / (curve_points - 1) * expected_s"
	if len(times) == 1 {
		formula = "repeat(0 * expected_s, 1)"
	}
	e.ListShown("/curve/*/t_s", "curve.t_s", "s", times, formula)
	if w.draw.Kind == sim.LoadCycle {
		e.Function("drawn_after", "t", "coulomb", "entry(state_of(t, "+expected+"), 0)")
		e.Function("state_after", "t", "state", "state_of(t, "+expected+")")
		e.Function("amps_after", "t", "a", "amps_of(t, "+expected+", if(t >= expected_s, expected_segment, segment_at(t)))")
	} else {
		e.Function("drawn_after", "t", "coulomb", "first(entry(state_of(q, "+expected+"), 0) >= t, q, 0, drawn_c)")
		e.Function("state_after", "t", "state", "state_of(drawn_after(t), "+expected+")")
		e.Function("amps_after", "t", "a", "if(t >= expected_s, "+e.lastFlow()+", flow_a(drawn_after(t), entry(state_after(t), 1), "+expected+"))")
	}
	volts := func(what string) string {
		return "max(" + what + "(drawn_after(t), entry(state_after(t), 1), capacity_c, cell_charge, amps_after(t)), 0)"
	}
	e.Function("pack_v_after", "t", "v", volts("pack_v"))
	e.Function("cell_v_after", "t", "v", volts("cell_v"))
	e.Function("percent_after", "t", "percent", "mean(max(cell_charge - drawn_after(t) / capacity_c, 0)) * 100")
	e.Function("degc_after", "t", "degc", "ambient_degc + entry(state_after(t), 2)")
	column("current_a", "a", "amps_after(curve.t_s)", func(s *sim.DrawState) float64 { return s.AmpA })
	column("pack_voltage_v", "v", "pack_v_after(curve.t_s)", func(s *sim.DrawState) float64 { return max(s.PackV, 0) })
	column("lowest_cell_v", "v", "cell_v_after(curve.t_s)", func(s *sim.DrawState) float64 { return max(s.LowestV, 0) })
	column("charge_percent", "percent", "percent_after(curve.t_s)", func(s *sim.DrawState) float64 { return s.Charge * 100 })
	column("temperature_degc", "degc", "degc_after(curve.t_s)", func(s *sim.DrawState) float64 { return s.DegC })
}

// lastFlow is the current at the end of a constant load.
func (e *explainer) lastFlow() string {
	if e.w.draw.Kind == sim.LoadPower {
		return "peak_a"
	}
	return "flow_a(drawn_c, entry(end_state, 1), " + expected + ")"
}
