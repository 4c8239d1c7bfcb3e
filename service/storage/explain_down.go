package storage

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	expectedCells = "capacity_c, cell_charge, cell_ohm"
	leastCells    = "capacity_low_c, cell_charge_low, cell_ohm * ohm_high"
	mostCells     = "capacity_high_c, cell_charge_high, cell_ohm * ohm_low"
	fullCells     = "capacity_high_c, cell_charge_high, cell_ohm"
)

// down describes a discharge.
func (e *explainer) down() {
	w, p := e.w, e.w.plan
	if p.ChargeMAh == nil {
		return
	}
	if p.Action == Charge {
		e.Set("up_c", "coulomb", w.upC(), "max((target_charge - max(cell_charge)) * capacity_c, 0)")
		e.SetShown("/charge_mah", "charge_mah", "mah", w.upC()/milliampHour, "up_c / 3.6")
		return
	}
	down := w.downC(w.groups(false, cell.Expected, cell.Expected, 1))
	e.Function("down_c_of", "c z", "coulomb", "max((min(z) - target_charge) * c, 0)")
	e.Function("rest_v", "q c z", "v", "sum(chem.open_circuit(z - q / c))")
	e.Set("down_c", "coulomb", down, "down_c_of(capacity_c, cell_charge)")
	e.SetShown("/charge_mah", "charge_mah", "mah", down/milliampHour, "down_c / 3.6")
	e.Set("loaded_floor_a", "a", w.loadedFloorA(), "(chem.storage_cell_v - chem.loaded_floor_cell_v) / max(cell_ohm)")
	if p.Settings != nil {
		e.limits()
		e.functions()
		e.lowering(down)
		e.span()
		e.settings(down)
		e.phases(down)
		e.totals(down)
		e.curve()
	}
	for i := range p.Alternatives {
		e.alternative(fmt.Sprintf("/alternatives/%d/", i), &p.Alternatives[i], down)
	}
}

func (e *explainer) limits() {
	l := &e.w.limits
	var least []string
	for i := range l.list {
		x := &l.list[i]
		id := "limit." + string(x.Name)
		value, formula := x.CurrentA, e.limit(x.Name)
		if x.Name == LimitChargerStep {
			formula = "charger.max_discharge_current_a"
			if l.current != l.chargerA {
				e.Set("discharge_step_a", "a", l.step, "round9(charger.charge_current_step_a)")
				formula = "round9(floor(min(" + strings.Join(least, ", ") + ") / discharge_step_a + 1e-9) * discharge_step_a)"
			}
			e.Set("current_a", "a", l.current, formula)
			value, formula = l.current, "current_a"
		} else if x.Name != LimitChargerPower {
			least = append(least, id)
		}
		e.SetShown(fmt.Sprintf("/limits/%d/current_a", i), id, "a", value, formula)
	}
}

func (e *explainer) limit(name LimitName) string {
	switch name {
	case LimitPace:
		return "constant.store_pace_c_rate * rated_ah"
	case LimitLabel:
		if e.w.q.Pack.MaxDischargeCRate == nil {
			return "constant.unprinted_c_rate * rated_ah"
		}
		return "pack.max_discharge_c_rate * rated_ah"
	case LimitConnector:
		return "pack.main_lead.connector_max_current_a"
	case LimitWire:
		return e.wire()
	case LimitCondition:
		return "constant.gentle_c_rate * rated_ah"
	case LimitLoadedFloor:
		return "loaded_floor_a"
	case LimitChargerCurrent:
		return "charger.max_discharge_current_a"
	case LimitBalanceLead:
		return "rule.balance_lead_overcurrent.limit_0"
	}
	e.Set("start_v", "v", e.startV(), "rest_v(0 * capacity_c, capacity_c, cell_charge)")
	return "2 * charger.max_discharge_power_w / (start_v + sqrt(start_v ^ 2 - 4 * sum(cell_ohm) * charger.max_discharge_power_w))"
}

func (e *explainer) startV() float64 {
	v, _ := e.w.rested(e.w.groups(false, cell.Expected, cell.Expected, 1))
	return v
}

// wire describes what a wire carries (cell.WireCurrent).
func (e *explainer) wire() string {
	const awg = "pack.main_lead.wire_awg"
	e.Set("wire_diameter_m", "m", cell.WireDiameter(*e.w.q.Pack.MainLead.WireAWG), "constant.wire_gauge_36_m * constant.wire_gauge_ratio ^ ((36 - "+awg+") / 39)")
	return "sqrt(constant.wire_film * pi * wire_diameter_m * constant.insulated_ratio * (constant.wire_limit_degc - constant.wire_ambient_degc)" +
		" / (constant.copper_resistivity * (1 + constant.copper_per_k * (constant.wire_limit_degc - constant.copper_at_degc)) / (pi / 4 * wire_diameter_m ^ 2)))"
}

// functions describes the discharge as functions of the charge q that has passed,
// for cells of capacity c, charge z and resistance r: what package sim solves piece
// by piece in closed form is stated here whole.
func (e *explainer) functions() {
	w := e.w
	amps := "current_a + 0 * q"
	if w.powered() {
		e.Function("power_root", "q c z r", "volt squared", "rest_v(q, c, z) ^ 2 - 4 * sum(r) * charger.max_discharge_power_w")
		amps = "if(power_root(q, c, z, r) > 0, min(current_a, 2 * charger.max_discharge_power_w / (rest_v(q, c, z) + sqrt(max(power_root(q, c, z, r), 0)))), current_a)"
	}
	e.Function("lower_a", "q c z r", "a", amps)
	e.Function("main_s_of", "c z r", "s", "integral(1 / lower_a(q, c, z, r), q, 0, down_c_of(c, z))")
	bleed := "z * 0 * c"
	if w.span.bleedA > 0 {
		e.Set("bleed_to", "ratio", w.span.bleedTo, "charge_at(chem.storage_cell_v + chem.balance_tolerance_v)")
		e.Set("bleed_a", "a", w.span.bleedA, "charger.balance_current_a")
		e.Function("over_c_of", "c z", "coulomb", "(z - bleed_to) * c - down_c_of(c, z)")
		bleed = "if(over_c_of(c, z) > 1e-9 * c, over_c_of(c, z), 0)"
	}
	e.Function("bled_c_of", "c z", "coulomb", bleed)
	seconds := "max(bled_c_of(c, z))"
	if w.span.bleedA > 0 {
		seconds += " / bleed_a"
	}
	e.Function("bleed_s_of", "c z", "s", seconds)
}

// bled is what is bled from each cell.
func (e *explainer) bled() []float64 {
	w := e.w
	out := make([]float64, len(w.model.Groups))
	groups := w.groups(false, cell.Expected, cell.Expected, 1)
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		for j := range groups {
			if groups[j].Charge == g.Charge.Expected && groups[j].Ohm == g.Ohm.Expected {
				out[i] = w.lowered.Bled(j)
			}
		}
	}
	return out
}

func (e *explainer) lowering(down float64) {
	w := e.w
	d := &w.lowered
	e.Set("main_s", "s", d.MainSeconds(), "main_s_of("+expectedCells+")")
	e.List("bled_c", "coulomb", e.bled(), "bled_c_of(capacity_c, cell_charge)")
	e.Set("bleed_s", "s", d.BleedS, "bleed_s_of(capacity_c, cell_charge)")
	e.Set("expected_s", "s", d.Seconds, "main_s + bleed_s")
	ends, bled := make([]float64, len(w.model.Groups)), e.bled()
	for i := range ends {
		ends[i] = w.model.Groups[i].Charge.Expected - (down+bled[i])/w.model.Coulomb.Expected
	}
	e.List("cell_end", "ratio", ends, "cell_charge - (down_c + bled_c) / capacity_c")
	e.Set("end_a", "a", d.EndA, "if(down_c > 0, lower_a(down_c, "+expectedCells+"), 0)")
	e.Function("amps_at", "q", "a", "lower_a(q, "+expectedCells+")")
	e.Function("loaded_v", "q", "v", "rest_v(q, capacity_c, cell_charge) - sum(cell_ohm) * amps_at(q)")
}

func (e *explainer) span() {
	w := e.w
	s := &w.span
	e.Set("least_s", "s", s.low, "min(main_s_of("+leastCells+"), expected_s)")
	long := "main_s_of(%s) + bleed_s_of(capacity_high_c, cell_charge_high)"
	e.Set("full_s", "s", s.full, fmt.Sprintf(long, fullCells))
	e.Set("latest_s", "s", s.high, "max("+fmt.Sprintf(long, mostCells)+", expected_s)")
	e.SetShown("/duration/expected_min", "expected_min", "min", s.expected/minute, "expected_s / 60")
	e.SetShown("/duration/low_min", "low_min", "min", s.low/minute, "least_s / 60")
	e.SetShown("/duration/high_min", "high_min", "min", s.high/minute, "latest_s / 60")
	for i, d := range w.plan.Duration.Drivers {
		formula, seconds := "max("+fmt.Sprintf(long, mostCells)+" - full_s, 0)", s.byResist
		switch d.Field {
		case "/pack/measured_capacity_mah":
			formula, seconds = "expected_s * (capacity_high_c / capacity_c - 1)", s.byCapacity
		case "/pack/cell_voltages_v":
			formula, seconds = "max(full_s / (capacity_high_c / capacity_c) - expected_s, 0)", s.byStart
			if w.model.From == spec.FromAssumedAny {
				formula, seconds = "expected_s - least_s", s.expected-s.low
			}
		}
		n := strconv.Itoa(i)
		e.Set("driver."+n+".widens_s", "s", seconds, formula)
		e.SetShown("/duration/drivers/"+n+"/widens_min", "driver."+n+".widens_min", "min", seconds/minute, "driver."+n+".widens_s / 60")
	}
}

func (e *explainer) settings(down float64) {
	w, s := e.w, e.w.plan.Settings
	const at = "/settings/"
	e.Show(at+"cells_series", "pack.cells_series")
	first, begins := w.limits.current, "current_a"
	if a, binds := w.limits.byPower(); binds {
		first, begins = a, "limit."+string(LimitChargerPower)
		e.Show(at+"power_w", "charger.max_discharge_power_w")
		e.Show(at+"max_current_a", "current_a")
	}
	e.Show(at+"current_a", begins)
	e.SetShown(at+"current_c_rate", "current_c_rate", "c_rate", first/(w.q.Pack.CapacityMAh/1000), begins+" / rated_ah")
	loaded := w.lowered.PackVoltage(down) / float64(len(w.model.Groups))
	if down <= 0 {
		loaded = 0
	}
	e.Set("loaded_stop_v", "v", loaded, "if(down_c > 0, loaded_v(down_c) / pack.cells_series, 0)")
	end := "ceil(loaded_stop_v / constant.stop_step_v - 1e-9) * constant.stop_step_v"
	if s.Program == StorageProgram || down <= 0 {
		end = "chem.storage_cell_v"
	}
	e.SetShown(at+"end_voltage_per_cell_v", "end_cell_v", "v", w.endCellV(s.Program, down), end)
	e.SetShown(at+"end_voltage_v", "end_v", "v", w.endCellV(s.Program, down)*float64(s.CellsSeries), "end_cell_v * pack.cells_series")
	cutoff := "floor(charge_mah / constant.store_cutoff_step_mah + 1e-9) * constant.store_cutoff_step_mah"
	if math.Floor(down/milliampHour/cutoffStepMAh+1e-9) <= 0 {
		cutoff = "charge_mah"
	}
	e.SetShown(at+"charge_cutoff_mah", "cutoff_mah", "mah", roundDown(down/milliampHour, cutoffStepMAh), cutoff)
	e.SetShown(at+"time_limit_min", "time_limit_min", "min", s.TimeLimitMin, "max(ceil(latest_s / 60 / constant.store_time_step_min - 1e-9), 1) * constant.store_time_step_min")
}

// phases shows each phase of the answer.
func (e *explainer) phases(down float64) {
	w := e.w
	d := &w.lowered
	for i, k := 0, 0; i < len(d.Pieces); k++ {
		last := i
		for last+1 < len(d.Pieces) && d.Pieces[last+1].Kind == d.Pieces[i].Kind {
			last++
		}
		e.phase(k, d.Pieces[i:last+1], down)
		i = last + 1
	}
}

func (e *explainer) phase(k int, pieces []sim.LowerPiece, down float64) {
	d := &e.w.lowered
	first, last := &pieces[0], &pieces[len(pieces)-1]
	id := func(name string) string { return "phase." + strconv.Itoa(k) + "." + name }
	show := func(name, unit string, value float64, formula string) {
		e.SetShown(fmt.Sprintf("/phases/%d/", k)+name, id(name), unit, value, formula)
	}
	from, to := d.StartOf(first), d.EndOf(last)
	if first.Kind == sim.LowerBleeding {
		show("duration_min", "min", last.Seconds/minute, "bleed_s / 60")
		show("charge_mah", "mah", 0, "0 * down_c")
		show("start_current_a", "a", 0, "0 * end_a")
		show("end_current_a", "a", 0, "0 * end_a")
		show("start_voltage_v", "v", from.PackV, "rest_v(down_c, capacity_c, cell_charge)")
		show("end_voltage_v", "v", to.PackV, "sum(chem.open_circuit(cell_end))")
		show("start_charge_percent", "percent", from.Charge*100, "mean(max(cell_charge - down_c / capacity_c, 0)) * 100")
		show("end_charge_percent", "percent", to.Charge*100, "mean(max(cell_end, 0)) * 100")
		return
	}
	start, end := "0 * down_c", "down_c"
	if k > 0 {
		start = "phase." + strconv.Itoa(k-1) + ".end_c"
	}
	if first.Kind == sim.LowerPowerLimited && last.Q0+last.Coulombs < down {
		end = "first(rest_v(q, capacity_c, cell_charge) <= charger.max_discharge_power_w / current_a + sum(cell_ohm) * current_a, q, 0, down_c)"
	}
	e.Set(id("start_c"), "coulomb", first.Q0, start)
	e.Set(id("end_c"), "coulomb", last.Q0+last.Coulombs, end)
	seconds, a, b := 0.0, id("start_c"), id("end_c")
	for i := range pieces {
		seconds += pieces[i].Seconds
	}
	show("duration_min", "min", seconds/minute, "integral(1 / amps_at(q), q, "+a+", "+b+") / 60")
	show("charge_mah", "mah", (last.Q0+last.Coulombs-first.Q0)/milliampHour, "("+b+" - "+a+") / 3.6")
	show("start_current_a", "a", from.AmpA, "amps_at("+a+")")
	show("end_current_a", "a", to.AmpA, "amps_at("+b+")")
	show("start_voltage_v", "v", from.PackV, "loaded_v("+a+")")
	show("end_voltage_v", "v", to.PackV, "loaded_v("+b+")")
	show("start_charge_percent", "percent", from.Charge*100, "mean(max(cell_charge - "+a+" / capacity_c, 0)) * 100")
	show("end_charge_percent", "percent", to.Charge*100, "mean(max(cell_charge - "+b+" / capacity_c, 0)) * 100")
}

func (e *explainer) totals(down float64) {
	w := e.w
	d := &w.lowered
	e.Set("stored_j", "joule", d.StoredJ, "capacity_c * sum(integral(chem.open_circuit(x), x, cell_end, cell_charge))")
	e.Set("cell_heat_j", "joule", d.HeatJ, "integral(amps_at(q) * sum(cell_ohm), q, 0, down_c)")
	e.Set("bled_j", "joule", d.BledJ, "capacity_c * sum(integral(chem.open_circuit(x), x, cell_end, cell_charge - down_c / capacity_c))")
	e.SetShown("/energy_wh", "energy_wh", "wh", d.OutJ()/wattHour, "(stored_j - cell_heat_j - bled_j) / 3600")
	e.SetShown("/stored_wh", "stored_wh", "wh", d.StoredJ/wattHour, "stored_j / 3600")
	e.SetShown("/heat_wh", "heat_wh", "wh", (d.HeatJ+d.BledJ)/wattHour, "(cell_heat_j + bled_j) / 3600")
	if down > 0 {
		n := float64(len(w.model.Groups))
		e.Show("/loaded_stop_voltage_v", "loaded_stop_v")
		e.SetShown("/rebound_v", "rebound_v", "v", d.EndA*w.ohmSum()/n, "end_a * sum(cell_ohm) / pack.cells_series")
		e.Set("seen_c", "coulomb", down-w.span.undoneC, "first(loaded_v(q) <= chem.storage_cell_v * pack.cells_series, q, 0, down_c)")
		e.SetShown("/left_undone_mah", "left_undone_mah", "mah", w.span.undoneC/milliampHour, "(down_c - seen_c) / 3.6")
	}
	const at = "/balancing/"
	e.SetShown(at+"time_min", "balancing.time_min", "min", d.BleedS/minute, "bleed_s / 60")
	e.SetShown(at+"bypassed_mah", "balancing.bypassed_mah", "mah", d.BledC/milliampHour, "sum(bled_c) / 3.6")
	e.SetShown(at+"bypassed_wh", "balancing.bypassed_wh", "wh", d.BledJ/wattHour, "bled_j / 3600")
	e.SetShown(at+"remaining_spread_mv", "balancing.remaining_spread_mv", "mv", d.SpreadV*1000, "(max(chem.open_circuit(cell_end)) - min(chem.open_circuit(cell_end))) * 1000")
}

// curve shows the samples; each column is a list.
func (e *explainer) curve() {
	w, n := e.w, len(e.w.plan.Curve)
	if n == 0 {
		return
	}
	d := &w.lowered
	column := func(name, unit, formula string, value func(s sim.State, t float64) float64) {
		values := make([]float64, n)
		for i := range values {
			t := sim.SampleTime(d.Seconds, i, n)
			values[i] = value(d.At(t), t)
		}
		e.ListShown("/curve/*/"+name, "curve."+name, unit, values, formula)
	}
	times := "range(0, curve_points - 1) / (curve_points - 1) * expected_s"
	if n == 1 {
		times = "repeat(0 * expected_s, 1)"
	}
	e.Function("elapsed_s", "q", "s", "integral(1 / amps_at(x), x, 0, q)")
	e.Function("lowered_after", "t", "coulomb", "first(elapsed_s(q) >= t, q, 0, down_c)")
	amps, bled := "amps_at(lowered_after(t))", "0 * bled_c"
	if w.span.bleedA > 0 {
		bled = "min(max(t - main_s, 0) * bleed_a, bled_c)"
		if d.BleedS > 0 {
			amps = "if(t >= main_s, 0, amps_at(lowered_after(t)))"
		}
	}
	e.Function("amps_after", "t", "a", amps)
	e.Function("cell_after", "t", "ratio", "cell_charge - (lowered_after(t) + "+bled+") / capacity_c")
	e.Function("cell_volts_after", "t", "v", "chem.open_circuit(cell_after(t)) - amps_after(t) * cell_ohm")
	e.Function("pack_volts_after", "t", "v", "sum(cell_volts_after(t))")
	e.Function("highest_after", "t", "v", "max(cell_volts_after(t))")
	e.Function("lowest_after", "t", "v", "min(cell_volts_after(t))")
	e.Function("percent_after", "t", "percent", "mean(max(cell_after(t), 0)) * 100")
	column("t_s", "s", times, func(_ sim.State, t float64) float64 { return t })
	column("current_a", "a", "amps_after(curve.t_s)", func(s sim.State, _ float64) float64 { return s.AmpA })
	column("pack_voltage_v", "v", "pack_volts_after(curve.t_s)", func(s sim.State, _ float64) float64 { return s.PackV })
	column("highest_cell_v", "v", "highest_after(curve.t_s)", func(s sim.State, _ float64) float64 { return s.HighestV })
	column("lowest_cell_v", "v", "lowest_after(curve.t_s)", func(s sim.State, _ float64) float64 { return s.LowestV })
	column("charge_percent", "percent", "percent_after(curve.t_s)", func(s sim.State, _ float64) float64 { return s.Charge * 100 })
}
