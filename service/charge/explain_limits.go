package charge

import (
	"fmt"
	"math"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// limits describes the limits on the current (limits.go) and the choice among
// them.
func (e *explainer) limits() {
	l := &e.w.limits
	if e.w.q.Charger.ChargeCurrentStepA != nil {
		e.Set("step_a", "a", l.step, "round9(charger.charge_current_step_a)")
	} else if l.fixed {
		e.Set("step_a", "a", l.step, "constant.assumed_step_a")
	} else {
		e.Set("step_a", "a", l.step, "charger.charge_current_step_a")
	}
	e.smallest()
	e.Set("end_cell_v", "v", e.w.endCellV, e.endCell())
	e.Set("end_pack_v", "v", l.endPackV, "end_cell_v * pack.cells_series")
	if e.w.facts.Chemistry.Curve == nil {
		e.Set("end_pack_v", "v", l.endPackV, "chem.mean_charge_v * pack.cells_series")
		e.nickelRates()
	}
	e.power()
	e.Set("label_a", "a", l.LabelA, e.label())
	e.Set("taper_a", "a", e.w.taperA, "taper_c_rate * rated_ah")
	e.Set("balance_limit_a", "a", e.w.balanceA, "charger.balance_current_a")
	if l.RecoveryA > 0 {
		e.Set("recovery_limit_a", "a", l.RecoveryA, "chem.recovery_c_rate * rated_ah")
	}
	for i := range l.list {
		x := &l.list[i]
		e.Set("limit."+string(x.Name), "a", x.CurrentA, e.limit(x.Name))
	}
	e.Set("safe_a", "a", l.SafeA, e.least(func(n LimitName) bool {
		return n != LimitPace && n != LimitRequested && n != LimitSmallPackRounding && n != LimitDeadline && n != LimitHeat &&
			n != LimitChargerCurrent && n != LimitChargerPower && n != LimitChargerStep
	}))
	wish := func(n LimitName) bool { return n != LimitChargerStep }
	e.powerAside()
	if l.current > 0 {
		e.current(wish)
	}
}

// powerAside describes the current without regard to power, and what it would
// draw from the supply: as they were before heat, or a deadline that is missed.
func (e *explainer) powerAside() {
	l := &e.w.limits
	early := func(n LimitName) bool {
		return n != LimitChargerStep && n != LimitHeat && (n != LimitDeadline || l.EarliestMin == 0)
	}
	e.Set("without_power_a", "a", l.WithoutPower, e.least(func(n LimitName) bool { return early(n) && n != LimitChargerPower && n != LimitSupplyPower }))
	if l.SupplyA > 0 {
		need := e.least(func(n LimitName) bool { return early(n) && n != LimitSupplyPower })
		need = trace.Rename(need, func(name string) string {
			if name == "limit."+string(LimitChargerPower) {
				return "charger_power_a" // as it was before it was let rule
			}
			return name
		})
		e.Set("supply_need_w", "w", l.SupplyNeedW, need+" * end_pack_v / efficiency")
	}
	if e.w.facts.Chemistry.Curve != nil && l.UnseenHighV > 0 {
		e.Function("beyond_v", "z", "v", "if(z <= 1, chem.open_circuit(z), chem.open_circuit(1) + (z - 1) * (chem.open_circuit(1) - chem.open_circuit(1 - constant.last_of_curve)) / constant.last_of_curve)")
		e.Set("unseen_high_v", "v", l.UnseenHighV,
			"max(beyond_v(cell_charge + first(sum(end_cell_v - taper_a * cell_ohm - beyond_v(cell_charge + q / capacity_c)) <= 0, q, 0, 2 * capacity_c) / capacity_c))")
	}
}

func (e *explainer) current(wish func(LimitName) bool) {
	l := &e.w.limits
	formula := "max(round9(floor((" + e.least(wish) + ") / step_a + 1e-9) * step_a), smallest_a)"
	for i := range l.list {
		// What was searched for is a step already.
		if n := l.list[i].Name; n == LimitHeat && formula != "limit.deadline" || n == LimitDeadline && l.EarliestMin == 0 {
			formula = "limit." + string(n)
		}
	}
	if l.fixed {
		formula = "smallest_a"
	}
	e.Set("current_a", "a", l.current, formula)
	e.Set("limit.charger_step", "a", l.current, "current_a")
	if l.RecoveryA <= 0 {
		return
	}
	step, a := l.snap(l.RecoveryA), "max(round9(floor(recovery_limit_a / step_a + 1e-9) * step_a), smallest_a)"
	switch {
	case step <= 0:
		step, a = l.RecoveryA, "recovery_limit_a"
	case l.fixed:
		a = "smallest_a"
	}
	e.Set("recovery_step_a", "a", step, a)
	e.Set("recovery_a", "a", e.w.program(l.current).RecoveryA, "min(recovery_step_a, current_a)")
}

// least is the least of the limits that are wanted.
func (e *explainer) least(want func(LimitName) bool) string {
	var parts []string
	for i := range e.w.limits.list {
		if n := e.w.limits.list[i].Name; want(n) {
			parts = append(parts, "limit."+string(n))
		}
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "min(" + strings.Join(parts, ", ") + ")"
}

func (e *explainer) smallest() {
	l, c := &e.w.limits, &e.w.q.Charger
	formula := "step_a"
	switch m := c.MinChargeCurrentA; {
	case l.fixed && (m == nil || l.SmallestA != *m):
		formula = "charger.max_charge_current_a"
	case l.fixed:
		formula = "charger.min_charge_current_a"
	case m != nil:
		formula = "max(round9(ceil(charger.min_charge_current_a / step_a - 1e-9) * step_a), step_a)"
	}
	e.Set("smallest_a", "a", l.SmallestA, formula)
	e.Assumption("charger.min_charge_current_a", l.SmallestA, "smallest_a")
}

func (e *explainer) endCell() string {
	if e.w.q.TargetCellVoltageV != nil {
		return "target_cell_voltage_v"
	}
	return "chem.full_cell_v"
}

func (e *explainer) power() {
	l, c := &e.w.limits, &e.w.q.Charger
	e.Set("efficiency", "ratio", l.efficiency, "charger.supply.efficiency_percent / 100")
	if l.PowerA > 0 {
		formula := "charger.max_charge_power_w"
		switch {
		case c.MaxChargePowerW == nil:
			formula = "charger.max_total_power_w"
		case c.MaxTotalPowerW != nil:
			formula = "min(charger.max_charge_power_w, charger.max_total_power_w)"
		}
		e.Set("charger_w", "w", l.PowerA*l.endPackV, formula)
		e.Set("charger_power_a", "a", l.PowerA, "charger_w / end_pack_v")
	}
	if l.SupplyA > 0 {
		e.Set("supply_w", "w", l.SupplyA*l.endPackV, "charger.supply.power_w * efficiency")
	}
	if p := l.powerW(); !math.IsInf(p, 1) {
		formula := "min(charger_w, supply_w)"
		if l.SupplyA <= 0 {
			formula = "charger_w"
		} else if l.PowerA <= 0 {
			formula = "supply_w"
		}
		e.Set("power_w", "w", p, formula)
	}
}

// label is what the label, or common practice, allows (rule.LabelCurrent).
func (e *explainer) label() string {
	if !e.w.limits.LabelPrinted {
		return "chem.default_charge_c_rate * rated_ah"
	}
	if e.w.facts.Chemistry.Fast.MostC.Value > 0 {
		return "min(whole.max_charge_c_rate, chem.most_fast_c_rate) * rated_ah"
	}
	return "whole.max_charge_c_rate * rated_ah"
}

// limit is the formula of one limit.
func (e *explainer) limit(name LimitName) string {
	l := &e.w.limits
	switch name {
	case LimitPace:
		return e.pace()
	case LimitRequested:
		return "goal.current_a"
	case LimitDeadline:
		return e.deadline()
	case LimitSmallPackRounding:
		return "round9(ceil(rated_ah / step_a - 1e-9) * step_a)"
	case LimitLabel:
		return "label_a"
	case LimitChargerCurrent:
		return "charger.max_charge_current_a"
	case LimitChargerPower:
		if l.heldBack {
			return "max(charger_power_a, smallest_a)"
		}
		return "charger_power_a"
	case LimitSupplyPower:
		return "supply_w / end_pack_v"
	case LimitBalanceLead:
		return "rule.balance_lead_overcurrent.limit_0"
	case LimitConnector:
		return "whole.main_lead.connector_max_current_a"
	case LimitWire:
		return e.wire()
	case LimitTemperature:
		return e.zone() + " * rated_ah"
	case LimitCondition:
		return "constant.gentle_c_rate * min(rated_ah, capacity_c / 3600)"
	case LimitVoltageDrop:
		return "standard_a"
	case LimitHeat:
		e.heatStep()
		return "round9(heat_step * step_a)"
	}
	return "current_a"
}

func (e *explainer) pace() string {
	l := &e.w.limits
	pace := "constant.everyday_c_rate * rated_ah"
	if g := e.w.q.Goal; g != nil && g.Pace != "" {
		switch g.Pace {
		case spec.Gentle:
			pace = "constant.gentle_c_rate * rated_ah"
		case spec.Quick:
			pace = "label_a"
		}
	}
	if l.list[0].CurrentA > l.goal {
		return "max(" + pace + ", smallest_a)"
	}
	return pace
}

func (e *explainer) wire() string {
	const awg = "whole.main_lead.wire_awg"
	e.Set("wire_diameter_m", "m", cell.WireDiameter(*e.w.pack.MainLead.WireAWG), "constant.wire_gauge_36_m * constant.wire_gauge_ratio ^ ((36 - "+awg+") / 39)")
	return "sqrt(constant.wire_film * pi * wire_diameter_m * constant.insulated_ratio * (constant.wire_limit_degc - constant.wire_ambient_degc)" +
		" / (constant.copper_resistivity * (1 + constant.copper_per_k * (constant.wire_limit_degc - constant.copper_at_degc)) / (pi / 4 * wire_diameter_m ^ 2)))"
}

// zone is the parameter of the temperature zone that holds.
func (e *explainer) zone() string {
	f := *e.w.facts
	f.Pack = e.w.pack
	cold, hot, _ := rule.Temperatures(&f)
	c := e.w.facts.Chemistry
	i, j := c.ZoneIndex(cold), c.ZoneIndex(hot)
	if c.Zones[j].MostC < c.Zones[i].MostC {
		i = j
	}
	return fmt.Sprintf("chem.zone_%d_c_rate", i)
}

// deadline describes the search for the lowest step that is ready in time
// (deadline.go).
func (e *explainer) deadline() string {
	w, l := e.w, &e.w.limits
	fastest := e.least(func(n LimitName) bool { return n != LimitDeadline && n != LimitChargerStep })
	standard, drop := 0.0, 0.0
	if w.facts.Chemistry.Curve == nil {
		standard, drop = rule.NickelRates(w.facts)
	}
	at := l.list[0].CurrentA
	most := l.snap(l.least(func(n LimitName) bool { return n != LimitDeadline && n != LimitChargerStep }))
	switch {
	case l.EarliestMin > 0:
		return fastest
	case w.facts.Chemistry.Curve == nil && at == l.snap(standard):
		e.Set("standard_step_a", "a", at, "max(round9(floor(standard_a / step_a + 1e-9) * step_a), smallest_a)")
		if l.fixed {
			e.Set("standard_step_a", "a", at, "smallest_a")
		}
		return "standard_step_a"
	case l.fixed || at >= most:
		return "max(round9(floor((" + fastest + ") / step_a + 1e-9) * step_a), smallest_a)"
	}
	lowest := "smallest_a"
	if w.facts.Chemistry.Curve == nil && most > standard && l.stepAbove(drop) > l.SmallestA {
		lowest = "drop_a"
	}
	e.Set("deadline_step", "count", math.Round(at/l.step),
		"first_step(high_s(round9(k * step_a)) <= goal.ready_in_min * 60, k, ceil("+lowest+" / step_a - 1e-9), floor(("+fastest+") / step_a + 1e-9))")
	return "round9(deadline_step * step_a)"
}

// heatStep describes the search for the largest step at which the pack stays
// cool enough (heatlimit.go).
func (e *explainer) heatStep() {
	l := &e.w.limits
	a := 0.0
	for i := range l.list {
		if l.list[i].Name == LimitHeat {
			a = l.list[i].CurrentA
		}
	}
	others := e.least(func(n LimitName) bool { return n != LimitDeadline && n != LimitChargerStep && n != LimitHeat })
	e.Set("heat_step", "count", math.Round(a/l.step),
		"last_step(peak_of(round9(k * step_a)) <= rule.charge_heats_pack.limit_1, k, ceil(smallest_a / step_a - 1e-9), floor(("+others+") / step_a + 1e-9))")
}
