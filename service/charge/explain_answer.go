package charge

import (
	"fmt"
	"strconv"

	"github.com/wattkeel/wattkeel/service/sim"
)

// answer shows every number of the answer, in the order in which they stand
// there.
func (e *explainer) answer() {
	p := e.w.plan
	if p.Settings != nil {
		e.settings()
		for i := range p.Limits {
			e.Show(fmt.Sprintf("/limits/%d/current_a", i), "limit."+string(p.Limits[i].Name))
		}
	}
	e.SetShown("/start/charge_percent", "start_percent", "percent", average(e.startPercents()), "mean(max(cell_charge, 0)) * 100")
	e.ListShown("/start/cell_charges_percent/*", "cell_percent", "percent", e.startPercents(), "max(cell_charge, 0) * 100")
	if p.Settings != nil {
		e.phases()
		e.duration()
		e.totals()
		e.curve()
	}
	for i := range p.Findings {
		e.finding(i, &p.Findings[i])
	}
	e.ShowAssumed()
}

func (e *explainer) startPercents() []float64 {
	groups := e.w.model.Groups
	out := make([]float64, len(groups))
	for i := range groups {
		out[i] = max(groups[i].Charge.Expected, 0) * 100
	}
	return out
}

func average(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

func (e *explainer) settings() {
	w, s := e.w, e.w.plan.Settings
	const at = "/settings/"
	e.Show(at+"cells_series", "pack.cells_series")
	e.Show(at+"current_a", "current_a")
	e.SetShown(at+"current_c_rate", "current_c_rate", "c_rate", w.limits.current/w.limits.ah, "current_a / rated_ah")
	if s.RecoveryCurrentA != nil {
		e.Show(at+"recovery_current_a", "recovery_a")
	}
	if s.EndVoltageV != nil {
		e.Show(at+"end_voltage_per_cell_v", "end_cell_v")
		e.SetShown(at+"end_voltage_v", "end_voltage_v", "v", w.endCellV*float64(w.q.Pack.CellsSeries), "end_cell_v * pack.cells_series")
		e.SetShown(at+"taper_current_a", "taper_current_a", "a", min(w.taperA, w.limits.current), "min(taper_a, current_a)")
	}
	if s.Termination != nil {
		e.termination(s.Termination)
	}
	e.SetShown(at+"charge_cutoff_mah", "charge_cutoff_mah", "mah", s.ChargeCutoffMAh, "max(ceil(most_c / 3.6 / constant.cutoff_step_mah - 1e-9), 1) * constant.cutoff_step_mah")
	limit, step := "latest_s", "constant.time_step_min"
	if s.Termination != nil && s.Termination.Method == ByTime {
		limit, step = "expected_s", "constant.clock_step_min"
	}
	e.SetShown(at+"time_limit_min", "time_limit_min", "min", s.TimeLimitMin, "max(ceil("+limit+" / 60 / "+step+" - 1e-9), 1) * "+step)
}

// totals shows what the whole charge moves, stores, wastes, costs and warms.
func (e *explainer) totals() {
	w, p := e.w, e.w.plan
	c := &w.solve.charge
	energy := (c.StoredJ + c.HeatJ + c.BypassJ) / wattHour
	e.SetShown("/charge_mah", "charge_mah", "mah", c.Coulombs/milliampHour, "last_c / 3.6")
	e.SetShown("/energy_wh", "energy_wh", "wh", energy, "energy_j / 3600")
	e.SetShown("/stored_wh", "stored_wh", "wh", c.StoredJ/wattHour, "stored_j / 3600")
	heat := "(cell_heat_j + bypass_j) / 3600"
	if p.Balancing == nil {
		heat = "cell_heat_j / 3600"
	}
	e.SetShown("/heat_wh", "heat_wh", "wh", (c.HeatJ+c.BypassJ)/wattHour, heat)
	e.SetShown("/wall_energy_wh", "wall_energy_wh", "wh", energy/w.limits.efficiency, "wall_j / 3600")
	if price := w.q.EnergyPricePerKWh; price != nil {
		e.SetShown("/wall_cost", "wall_cost", "currency of energy_price_per_kwh", energy/w.limits.efficiency/1000**price, "wall_j / 3600 / 1000 * energy_price_per_kwh")
	}
	if p.Balancing != nil {
		const at = "/balancing/"
		e.SetShown(at+"time_min", "balancing.time_min", "min", c.BalanceS/minute, "balance_s / 60")
		e.SetShown(at+"bypassed_mah", "balancing.bypassed_mah", "mah", c.BypassC/milliampHour, "bypass_c / 3.6")
		e.SetShown(at+"bypassed_wh", "balancing.bypassed_wh", "wh", c.BypassJ/wattHour, "bypass_j / 3600")
		e.SetShown(at+"remaining_spread_mv", "balancing.remaining_spread_mv", "mv", c.SpreadV*1000, "spread_v * 1000")
		e.SetShown(at+"left_out_mah", "balancing.left_out_mah", "mah", c.LeftOutC/milliampHour, "left_out_c / 3.6")
	}
	const at = "/temperature/"
	e.Show(at+"ambient_degc", "ambient_degc")
	e.Show(at+"start_degc", "start_degc")
	e.SetShown(at+"rise_k", "rise_k", "k", w.solve.warm.PeakDegC-w.model.Thermal.StartDegC, "peak_degc - start_degc")
	e.Show(at+"peak_degc", "peak_degc")
	e.Show(at+"end_degc", "end_degc")
}

// curve shows the samples; each column is a list.
func (e *explainer) curve() {
	w, rows := e.w, e.w.plan.Curve
	if len(rows) == 0 {
		return
	}
	column := func(name, unit, formula string, value func(*sim.State, float64) float64) {
		values := make([]float64, len(rows))
		for i := range rows {
			t := 0.0
			if len(rows) > 1 {
				t = w.solve.charge.Seconds * float64(i) / float64(len(rows)-1)
			}
			var s sim.State
			if w.facts.Chemistry.Curve != nil {
				s = w.solve.charge.At(t, &w.solve.warm)
			}
			values[i] = value(&s, t)
		}
		e.ListShown("/curve/*/"+name, "curve."+name, unit, values, formula)
	}
	times := "range(0, curve_points - 1) / (curve_points - 1) * expected_s"
	if len(rows) == 1 {
		times = "repeat(0 * expected_s, 1)"
	}
	column("t_s", "s", times, func(_ *sim.State, t float64) float64 { return t })
	if w.facts.Chemistry.Curve == nil {
		column("current_a", "a", "repeat(flow_a, curve_points)", func(*sim.State, float64) float64 { return w.nickelA() })
		column("charge_percent", "percent", "percent_after(curve.t_s)", func(_ *sim.State, t float64) float64 { return w.nickelPercent(t) })
		column("temperature_degc", "degc", "degc_after(curve.t_s)", func(_ *sim.State, t float64) float64 {
			return w.solve.warm.At(&w.solve.charge.Pieces[0], t)
		})
		return
	}
	e.Function("amps_after", "t", "a", "if(last_c > 0, flow_a(charge_after(t), current_a), 0)")
	e.Function("cell_volts_after", "t", "v", "chem.open_circuit(cell_now(charge_after(t))) + if(charge_after(t) - main_c <= extra_c * (1 + 1e-9), amps_after(t) * cell_ohm, 0)")
	e.Function("pack_volts_after", "t", "v", "sum(cell_volts_after(t))")
	e.Function("highest_after", "t", "v", "max(cell_volts_after(t))")
	e.Function("lowest_after", "t", "v", "min(cell_volts_after(t))")
	e.Function("percent_after", "t", "percent", "mean(max(cell_now(charge_after(t)), 0)) * 100")
	e.Function("degc_after", "t", "degc", "degc_of(charge_after(t), current_a)")
	column("current_a", "a", "amps_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.AmpA })
	column("pack_voltage_v", "v", "pack_volts_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.PackV })
	column("highest_cell_v", "v", "highest_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.HighestV })
	column("lowest_cell_v", "v", "lowest_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.LowestV })
	column("charge_percent", "percent", "percent_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.Charge * 100 })
	column("temperature_degc", "degc", "degc_after(curve.t_s)", func(s *sim.State, _ float64) float64 { return s.TempDegC })
}

// phases shows each phase of the answer.
func (e *explainer) phases() {
	w := e.w
	if w.facts.Chemistry.Curve == nil {
		e.nickelPhase()
		return
	}
	pieces := w.solve.charge.Pieces
	for i, k := 0, 0; i < len(pieces); k++ {
		last := i
		for last+1 < len(pieces) && pieces[last+1].Kind == pieces[i].Kind {
			last++
		}
		next := sim.Kind(255)
		if last+1 < len(pieces) {
			next = pieces[last+1].Kind
		}
		e.phase(k, pieces[i:last+1], next)
		i = last + 1
	}
}

// phase shows the phase k of one kind, and ends where the next kind begins.
func (e *explainer) phase(k int, pieces []sim.Piece, next sim.Kind) {
	c := &e.w.solve.charge
	kind, first, last := pieces[0].Kind, &pieces[0], &pieces[len(pieces)-1]
	id := func(name string) string { return "phase." + strconv.Itoa(k) + "." + name }
	from, to := id("start_c"), id("end_c")
	start := "0 * main_c"
	if k > 0 {
		start = "phase." + strconv.Itoa(k-1) + ".end_c"
	}
	e.Set(from, "coulomb", first.Q0, start)
	e.Set(to, "coulomb", last.Q0+last.Coulombs, e.phaseEnd(kind, next, from))
	show := func(name, unit string, value float64, formula string) {
		e.SetShown(fmt.Sprintf("/phases/%d/", k)+name, id(name), unit, value, formula)
	}
	seconds := 0.0
	for i := range pieces {
		seconds += pieces[i].Seconds
	}
	minutes := "integral(1 / amps(q, current_a, " + expectedCells + "), q, " + from + ", " + to + ") / 60"
	if kind == sim.Balancing {
		minutes = "(" + to + " - " + from + ") / balance_a / 60"
	}
	show("duration_min", "min", seconds/minute, minutes)
	show("charge_mah", "mah", (last.Q0+last.Coulombs-first.Q0)/milliampHour, "("+to+" - "+from+") / 3.6")
	show("start_current_a", "a", first.I0, e.phaseAmps(kind, from))
	show("end_current_a", "a", last.I1, e.phaseAmps(kind, to))
	s, t := c.StartOf(first), c.EndOf(last)
	fedFrom, fedTo := "cell_ohm", "cell_ohm"
	if kind == sim.Balancing {
		fedFrom, fedTo = "if(extra_c > 0, cell_ohm, 0)", "if(extra_c >= max(extra_c), cell_ohm, 0)"
	}
	volts := func(q, amps, fed string) string {
		return "sum(chem.open_circuit(cell_now(" + q + ")) + " + amps + " * " + fed + ")"
	}
	show("start_voltage_v", "v", s.PackV, volts(from, id("start_current_a"), fedFrom))
	show("end_voltage_v", "v", t.PackV, volts(to, id("end_current_a"), fedTo))
	show("start_charge_percent", "percent", s.Charge*100, "mean(max(cell_now("+from+"), 0)) * 100")
	show("end_charge_percent", "percent", t.Charge*100, "mean(max(cell_now("+to+"), 0)) * 100")
}

// phaseAmps is the current at a charge in a phase of one kind.
func (e *explainer) phaseAmps(kind sim.Kind, at string) string {
	switch kind {
	case sim.Recovery:
		return "recovery_a"
	case sim.PowerLimited:
		return "hold_w_a(" + at + ", " + expectedCells + ")"
	case sim.ConstantVoltage:
		return "if(main_c > 0, hold_a(" + at + ", " + expectedCells + "), 0)"
	case sim.Balancing:
		return "balance_a"
	}
	return "current_a"
}

// phaseEnd is the charge at which a phase of one kind gives way to the next.
func (e *explainer) phaseEnd(kind, next sim.Kind, from string) string {
	if kind == sim.Balancing {
		return "last_c"
	}
	if next == sim.Balancing || next > sim.Balancing {
		return "main_c"
	}
	limit := map[sim.Kind]string{
		sim.Recovery: "recovery_a", sim.ConstantCurrent: "current_a",
		sim.PowerLimited: "hold_w_a(q, " + expectedCells + ")", sim.ConstantVoltage: "hold_a(q, " + expectedCells + ")",
	}
	if kind == sim.Recovery && next == sim.ConstantCurrent {
		return "recovery_c(capacity_c, cell_charge)"
	}
	to := "main_c"
	if kind == sim.Recovery {
		to = "recovery_c(capacity_c, cell_charge)"
	}
	return "first(" + limit[next] + " <= " + limit[kind] + ", q, " + from + ", " + to + ")"
}

func (e *explainer) nickelPhase() {
	w := e.w
	c := &w.solve.charge
	show := func(name, unit string, value float64, formula string) {
		e.SetShown("/phases/0/"+name, "phase.0."+name, unit, value, formula)
	}
	show("duration_min", "min", c.Seconds/minute, "expected_s / 60")
	show("charge_mah", "mah", c.Coulombs/milliampHour, "last_c / 3.6")
	show("start_current_a", "a", c.Pieces[0].I0, "flow_a")
	show("end_current_a", "a", c.Pieces[0].I1, "flow_a")
	show("start_charge_percent", "percent", w.nickelPercent(0), "percent_after(0)")
	show("end_charge_percent", "percent", w.nickelPercent(c.Seconds), "percent_after(expected_s)")
}
