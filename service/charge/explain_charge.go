package charge

import (
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/sim"
)

// functions describes what the charger does as functions of the charge q that
// has passed, for a current i and cells of capacity c, charge z and resistance r:
// what package sim solves piece by piece in closed form is stated here whole.
func (e *explainer) functions() {
	l := &e.w.limits
	e.Function("hold_a", "q c z r", "a", "min((end_cell_v - chem.open_circuit(z + q / c)) / r)")
	least := "min(i, hold_a(q, c, z, r))"
	end := "min(taper_a, i)"
	if !math.IsInf(e.w.program(l.current).PowerW, 1) {
		e.Function("pack_v", "q c z", "v", "sum(chem.open_circuit(z + q / c))")
		e.Function("hold_w_a", "q c z r", "a", "2 * power_w / (pack_v(q, c, z) + sqrt(pack_v(q, c, z) ^ 2 + 4 * sum(r) * power_w))")
		least = "min(i, hold_a(q, c, z, r), hold_w_a(q, c, z, r))"
		end = "min(taper_a, i, hold_w_a(q, c, z, r))"
	}
	if l.RecoveryA > 0 {
		e.Function("recovery_c", "c z", "coulomb", "max(max((charge_at(chem.safe_start_cell_v) - z) * c), 0)")
		least = "if(q < recovery_c(c, z), min(recovery_step_a, " + least + "), " + least + ")"
		end = "if(q < recovery_c(c, z), min(recovery_step_a, " + end + "), " + end + ")"
	}
	e.Function("amps", "q i c z r", "a", least)
	full := "1"
	if e.w.upToV > 0 {
		full = "up_to"
		e.Set("up_to", "ratio", e.w.upTo, "charge_at(chem.storage_cell_v)")
	}
	e.Function("end_c_of", "i c z r", "coulomb", "first(hold_a(q, c, z, r) <= "+end+", q, 0, max(min(("+full+" - z) * c), 0))")
	e.Function("main_s_of", "i c z r", "s", "integral(1 / amps(q, i, c, z, r), q, 0, end_c_of(i, c, z, r))")
	e.Function("rest_of", "i c z r", "ratio", "min(z + end_c_of(i, c, z, r) / c, 1)")
	e.balancingFunctions()
	e.Function("flow_a", "q i", "a", "if(q <= end_c_of(i, capacity_c, cell_charge, cell_ohm), amps(q, i, capacity_c, cell_charge, cell_ohm), balance_a_of(i, capacity_c, cell_charge, cell_ohm))")
	e.Function("last_c_of", "i", "coulomb", "end_c_of(i, capacity_c, cell_charge, cell_ohm) + max(extra_of(i, capacity_c, cell_charge, cell_ohm))")
	e.Function("heat_w", "q i", "w", "flow_a(q, i) ^ 2 * sum(if(q <= end_c_of(i, capacity_c, cell_charge, cell_ohm) + extra_of(i, capacity_c, cell_charge, cell_ohm), cell_ohm, 0))")
	e.Function("degc_of", "q i", "degc", "ode((heat_w(x, i) / heat_capacity - (y - ambient_degc) / thermal_time_s) / flow_a(x, i), y, start_degc, x, 0, q)")
	e.Function("peak_of", "i", "degc", "greatest(degc_of(q, i), q, 0, last_c_of(i))")
	e.rangeFunctions()
}

// balancingFunctions: the cells that end below the others are fed on, each up to
// the tolerance below the highest (sim's balance.go).
func (e *explainer) balancingFunctions() {
	if e.w.balanceA <= 0 {
		e.Function("extra_of", "i c z r", "coulomb", "0 * z")
		e.Function("balance_a_of", "i c z r", "a", "min(taper_a, i)")
		e.Function("balance_s_of", "i c z r", "s", "max(extra_of(i, c, z, r))")
		return
	}
	e.Function("goal_v_of", "i c z r", "v", "max(chem.open_circuit(rest_of(i, c, z, r))) - chem.balance_tolerance_v")
	e.Function("extra_of", "i c z r", "coulomb",
		"if(max(chem.open_circuit(rest_of(i, c, z, r))) > end_cell_v, 0 * z, max((charge_at(goal_v_of(i, c, z, r)) - rest_of(i, c, z, r)) * c, 0))")
	e.Function("balance_a_of", "i c z r", "a",
		"min(balance_limit_a, taper_a, i, min(if(extra_of(i, c, z, r) > 0, (end_cell_v - goal_v_of(i, c, z, r)) / r, balance_limit_a)))")
	e.Function("balance_s_of", "i c z r", "s", "max(extra_of(i, c, z, r)) / balance_a_of(i, c, z, r)")
}

const expectedCells = "capacity_c, cell_charge, cell_ohm"

// charge describes the expected charge.
func (e *explainer) charge() {
	w := e.w
	c := &w.solve.charge
	e.Set("main_c", "coulomb", c.MainCoulombs(), "end_c_of(current_a, "+expectedCells+")")
	e.Set("main_s", "s", c.MainSeconds(), "main_s_of(current_a, "+expectedCells+")")
	e.List("extra_c", "coulomb", e.extra(), "extra_of(current_a, "+expectedCells+")")
	e.Set("balance_a", "a", e.balanceA(), "balance_a_of(current_a, "+expectedCells+")")
	e.Set("balance_s", "s", c.BalanceS, "balance_s_of(current_a, "+expectedCells+")")
	e.Set("last_c", "coulomb", c.Coulombs, "main_c + max(extra_c)")
	e.Set("expected_s", "s", c.Seconds, "main_s + balance_s")
	ends := make([]float64, len(w.model.Groups))
	extra := e.Values("extra_c")
	for i := range ends {
		ends[i] = min(w.model.Groups[i].Charge.Expected+(c.MainCoulombs()+extra[i])/w.model.Coulomb.Expected, 1)
	}
	e.List("cell_end", "ratio", ends, "min(cell_charge + (main_c + extra_c) / capacity_c, 1)")
	e.Function("cell_now", "q", "ratio", "min(cell_charge + min(q, main_c + extra_c) / capacity_c, 1)")
	e.Function("elapsed_s", "q", "s", "integral(1 / flow_a(x, current_a), x, 0, q)")
	e.Function("charge_after", "t", "coulomb", "first(elapsed_s(q) >= t, q, 0, last_c)")

	e.Set("stored_j", "joule", c.StoredJ, "capacity_c * sum(integral(chem.open_circuit(x), x, cell_charge, cell_end))")
	e.Set("cell_heat_j", "joule", c.HeatJ, "integral(amps(q, current_a, "+expectedCells+") * sum(cell_ohm), q, 0, main_c) + balance_a * sum(extra_c * cell_ohm)")
	e.Set("bypass_j", "joule", c.BypassJ, "sum(chem.open_circuit(cell_end) * (max(extra_c) - extra_c))")
	e.Set("bypass_c", "coulomb", c.BypassC, "sum(max(extra_c) - extra_c)")
	e.Set("energy_j", "joule", c.StoredJ+c.HeatJ+c.BypassJ, "stored_j + cell_heat_j + bypass_j")
	e.Set("wall_j", "joule", (c.StoredJ+c.HeatJ+c.BypassJ)/w.limits.efficiency, "energy_j / efficiency")
	e.Set("spread_v", "v", c.SpreadV, "max(chem.open_circuit(cell_end)) - min(chem.open_circuit(cell_end))")
	e.Set("left_out_c", "coulomb", c.LeftOutC, "(max(cell_end) - min(cell_end)) * capacity_c")
	e.Set("peak_degc", "degc", w.solve.warm.PeakDegC, "peak_of(current_a)")
	e.Set("end_degc", "degc", w.solve.warm.EndDegC, "degc_of(last_c, current_a)")
}

// extra is what each cell is fed after the constant-voltage phase, and balanceA
// the current that feeds it.
func (e *explainer) extra() []float64 {
	c := &e.w.solve.charge
	out := make([]float64, len(e.w.model.Groups))
	groups, _ := e.w.groups(corner{})
	for i := range e.w.model.Groups {
		g := &e.w.model.Groups[i]
		j := slices.IndexFunc(groups, func(x sim.Group) bool { return x.Charge == g.Charge.Expected && x.Ohm == g.Ohm.Expected })
		out[i] = c.Fed(j)
	}
	return out
}

func (e *explainer) balanceA() float64 {
	pieces := e.w.solve.charge.Pieces
	if last := &pieces[len(pieces)-1]; last.Kind == sim.Balancing {
		return last.I0
	}
	if e.w.balanceA <= 0 {
		return min(e.w.taperA, e.w.limits.current)
	}
	return min(e.w.taperA, e.w.limits.current, e.w.balanceA)
}
