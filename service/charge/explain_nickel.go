package charge

import (
	"github.com/wattkeel/wattkeel/service/rule"
)

// nickelRates describes the rates between which the end of a nimh charge cannot
// be seen (rule.NickelRates).
func (e *explainer) nickelRates() {
	p := &e.w.q.Pack
	standard, drop := rule.NickelRates(e.w.facts)
	held, formula := p.CapacityMAh/1000, "pack.capacity_mah / 1000"
	if m := p.MeasuredCapacityMAh; m != nil {
		held, formula = min(held, *m/1000), "min(pack.capacity_mah, pack.measured_capacity_mah) / 1000"
	}
	e.Set("held_ah", "ampere hour", held, formula)
	e.Set("standard_a", "a", standard, "chem.standard_c_rate * if(held_ah < rule.capacity_end_of_life.limit_0 / 100 * pack.capacity_mah / 1000, held_ah, pack.capacity_mah / 1000)")
	e.Set("drop_a", "a", drop, "chem.least_fast_c_rate * held_ah")
}

// nickelDeadline describes the high bound of a nimh charge at a current i that the
// voltage drop ends, or below that by the clock.
func (e *explainer) nickelDeadline() {
	z := e.w.model.Groups[0].Charge
	e.Set("charge_start", "ratio", z.Expected, "mean(cell_charge)")
	e.Set("charge_start_low", "ratio", z.Low, "mean(cell_charge_low)")
	e.Set("charge_start_high", "ratio", z.High, "mean(cell_charge_high)")
	flow := "i"
	if _, known := e.Value("power_w"); known {
		flow = "min(i, power_w / end_pack_v)"
	}
	e.Set("held_c", "coulomb", e.w.heldAh()*3600, "min(rated_ah * 3600, capacity_c)")
	e.Function("high_s", "i", "s", "held_c / "+flow+" * if(i >= drop_a * (1 - 1e-9), (1 - charge_start_low) * chem.fast_input, (1 - charge_start) * chem.standard_input)")
}

// nickel describes a nimh charge (nickel.go).
func (e *explainer) nickel() {
	w := e.w
	n, c, s := w.nickel(), &w.solve.charge, &w.span
	flow, z := "current_a", w.model.Groups[0].Charge
	e.nickelDeadline()
	if _, known := e.Value("power_w"); known {
		flow = "min(current_a, power_w / end_pack_v)"
	}
	e.Set("flow_a", "a", w.nickelA(), flow)
	input := "chem.standard_input + ln(flow_a / standard_a) / ln(drop_a / standard_a) * (chem.fast_input - chem.standard_input)"
	standard, _ := rule.NickelRates(w.facts)
	switch {
	case n.byDrop:
		input = "chem.fast_input"
	case w.nickelA() <= standard*(1+1e-9):
		input = "chem.standard_input"
	}
	e.Set("input_ratio", "ratio", n.input, input)
	held := w.heldAh() * 3600
	if n.byDrop {
		latest := held * (1 - z.Low) * n.input / w.nickelA()
		e.Set("cutoff_s", "s", latest, "held_c * (1 - charge_start_low) * input_ratio / flow_a")
		e.Set("expected_s", "s", s.expected, "min(capacity_c * (1 - charge_start) * input_ratio / flow_a, cutoff_s)")
		e.Set("least_s", "s", s.low, "min(capacity_low_c * (1 - charge_start_high) * input_ratio / flow_a * constant.surely_earlier, expected_s)")
		e.Set("latest_s", "s", s.high, "max(cutoff_s, expected_s)")
		e.Set("by_capacity_s", "s", s.byCapacity, "cutoff_s - min(cutoff_s, capacity_low_c * (1 - charge_start_low) * input_ratio / flow_a)")
		e.Set("by_start_s", "s", s.byStart, "capacity_c * (charge_start_high - charge_start_low) * input_ratio / flow_a")
	} else {
		e.Set("expected_s", "s", s.expected, "held_c * (1 - charge_start) * input_ratio / flow_a")
		e.Set("least_s", "s", s.low, "expected_s")
		e.Set("latest_s", "s", s.high, "expected_s")
	}
	e.Set("last_c", "coulomb", c.Coulombs, "flow_a * expected_s")
	e.Set("most_c", "coulomb", s.highC, "latest_s * flow_a")
	e.Set("energy_j", "joule", c.StoredJ+c.HeatJ, "last_c * chem.mean_charge_v * pack.cells_series")
	e.Set("stored_j", "joule", c.StoredJ, "last_c / input_ratio * chem.reversible_v * pack.cells_series")
	e.Set("cell_heat_j", "joule", c.HeatJ, "energy_j - stored_j")
	e.Set("wall_j", "joule", (c.StoredJ+c.HeatJ)/w.limits.efficiency, "energy_j / efficiency")
	e.Function("degc_after", "t", "degc", "ambient_degc + (start_degc - ambient_degc) * exp(0 - t / thermal_time_s) + if(expected_s > 0, cell_heat_j / expected_s / conductance * (1 - exp(0 - t / thermal_time_s)), 0)")
	e.Set("end_degc", "degc", w.solve.warm.EndDegC, "degc_after(expected_s)")
	e.Set("peak_degc", "degc", w.solve.warm.PeakDegC, "max(start_degc, end_degc)")
	e.Function("percent_after", "t", "percent", "min(charge_start + t * flow_a / input_ratio / capacity_c, 1) * 100")
}

// termination shows how a nimh charge ends.
func (e *explainer) termination(t *Termination) {
	const at = "/settings/termination/"
	f := e.w.facts.Chemistry.Fast
	e.SetShown(at+"temperature_cutoff_degc", "temperature_cutoff_degc", "degc", t.TemperatureCutoffDegC, "chem.cutoff_degc")
	if t.Method != ByVoltageDrop {
		return
	}
	e.SetShown(at+"voltage_drop_per_cell_mv", "voltage_drop_per_cell_mv", "mv", f.DropV.Value*1000, "chem.drop_v * 1000")
	e.SetShown(at+"voltage_drop_mv", "voltage_drop_mv", "mv", f.DropV.Value*1000*float64(len(e.w.model.Groups)), "chem.drop_v * 1000 * pack.cells_series")
	rate := e.w.nickelA() / e.w.heldAh()
	part := min(max((rate-0.5)/0.5, 0), 1)
	slope := f.SlopeHalfC.Value + part*(f.SlopeOneC.Value-f.SlopeHalfC.Value)
	e.Set("slope_part", "ratio", part, "min(max((flow_a / (held_c / 3600) - chem.least_fast_c_rate) / (chem.most_fast_c_rate - chem.least_fast_c_rate), 0), 1)")
	e.SetShown(at+"temperature_slope_k_per_min", "temperature_slope_k_per_min", "k_per_min", slope*60, "(chem.slope_half_c + slope_part * (chem.slope_one_c - chem.slope_half_c)) * 60")
	e.SetShown(at+"ignore_first_min", "ignore_first_min", "min", f.IgnoreFirst.Value/60, "chem.ignore_first_s / 60")
}
