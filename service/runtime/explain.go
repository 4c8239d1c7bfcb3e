package runtime

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// explainer describes the steps of one estimate.
//
// What package sim solves in closed form or leaps over is stated here whole: the
// state of the run is the solution of a differential equation, over the charge
// drawn where the load is constant, over the time where it is a cycle.
type explainer struct {
	*trace.Explainer

	w *work
}

func (w *work) explain(judge *rule.Judge) []spec.TraceNode {
	e := &explainer{Explainer: trace.NewExplainer(w.q, w.facts.Chemistry, w.model.Assumed, judge), w: w}
	e.Model(&w.model, &w.q.Pack)
	e.pack()
	if w.draw.Kind == sim.LoadCycle {
		e.cycleFunctions()
	} else {
		e.constantFunctions()
	}
	e.runs()
	e.judged()
	e.answer()
	return e.Nodes()
}

// pack describes what the model of package cell leaves to this question.
func (e *explainer) pack() {
	w := e.w
	n := len(w.model.Groups)
	ohmic, polar := make([]float64, n), make([]float64, n)
	for i := range w.model.Groups {
		ohm := w.model.Groups[i].Ohm.Expected
		ohmic[i], polar[i] = ohm*w.share, ohm*(1-w.share)
	}
	if w.facts.Chemistry.PolarFactor.Value == 0 {
		e.List("cell_ohmic", "ohm", ohmic, "cell_ohm")
	} else {
		e.List("cell_ohmic", "ohm", ohmic, "cell_ohm / (1 + chem.polarization_factor)")
	}
	e.List("cell_polar", "ohm", polar, "cell_ohm - cell_ohmic")
	e.Assumption("cutoff.cell_voltage_v", w.draw.CutoffV, "chem.loaded_floor_cell_v")
	if w.draw.Reserve > 0 {
		e.Assumption("cutoff.reserve_percent", w.draw.Reserve*100, "constant.usual_reserve_percent")
	}
	if w.draw.Curve == nil {
		e.Assumption("pack.nominal_voltage_v", w.flatV*float64(n), "chem.nominal_cell_v * pack.cells_series")
		e.Set("flat_v", "v", w.flatV, "pack.nominal_voltage_v / pack.cells_series")
		e.Function("rested_v", "z", "v", "0 * z + flat_v")
	} else {
		e.Function("rested_v", "z", "v", "chem.open_circuit(z)")
	}
	if w.model.Chemistry.PolarTime.Value == 0 {
		e.Set("polar_s", "s", w.draw.PolarS, "pack.cells_series / pack.cells_series")
	} else {
		e.Set("polar_s", "s", w.draw.PolarS, "chem.polarization_time_s")
	}
}

// Functions of the charge q drawn, the filtered current w, the capacity c, the charges z at the start and
// the factor f of the resistances. The entries of a state are: the time, or in a cycle
// the charge drawn; the filtered current; the temperature above the surroundings;
// the heat, that of the polarization by what flows into it; and the square of the
// current over time.
func (e *explainer) shared() {
	e.Function("driving_v", "q w c z f", "v", "sum(rested_v(z - q / c)) - w * sum(cell_polar) * f")
	e.Function("power_a", "u s f", "a", "if(s > 0 and s ^ 2 >= 4 * sum(cell_ohmic) * f * u, 2 * u / (s + sqrt(s ^ 2 - 4 * sum(cell_ohmic) * f * u)), max(s, 0) / (2 * sum(cell_ohmic) * f))")
	e.Function("heat_w", "u w f", "w", "u * (u * sum(cell_ohmic) + w * sum(cell_polar)) * f")
	e.Function("warming_k", "u w d f", "k per second", "(u ^ 2 * sum(cell_ohmic) + w ^ 2 * sum(cell_polar)) * f / heat_capacity - d / thermal_time_s")
	e.Function("cell_spare_v", "q w u c z f", "v", "min(rested_v(z - q / c) - (u * cell_ohmic + w * cell_polar) * f) - cutoff.cell_voltage_v")
	e.Function("spare_v", "q w d u c z f", "v", "min(cell_spare_v(q, w, u, c, z, f), rule.use_temperature.limit_1 - ambient_degc - d)")
}

const start = "list(0, 0, start_degc - ambient_degc, 0, 0)"

// constantFunctions describes a run of a constant load over the charge drawn.
func (e *explainer) constantFunctions() {
	e.shared()
	flow := "load.current_a"
	switch e.w.draw.Kind {
	case sim.LoadPower:
		flow = "power_a(load.power_w, driving_v(q, w, c, z, f), f)"
	case sim.LoadResistance:
		flow = "driving_v(q, w, c, z, f) / (sum(cell_ohmic) * f + load.resistance_ohm)"
	}
	e.Function("flow_a", "q w c z f", "a", flow)
	e.Function("change_of", "u w d f", "per coulomb", "list(1 / u, (1 - w / u) / polar_s, warming_k(u, w, d, f) / u, heat_w(u, w, f) / u, u)")
	e.Function("state_of", "q c z f", "state", "ode(change_of(flow_a(x, entry(y, 1), c, z, f), entry(y, 1), entry(y, 2), f), y, "+start+", x, 0, q)")
	e.Function("spare_of", "q c z f", "v", "spare_v(q, entry(state_of(q, c, z, f), 1), entry(state_of(q, c, z, f), 2), flow_a(q, entry(state_of(q, c, z, f), 1), c, z, f), c, z, f)")
	e.Function("reserve_c", "c z", "coulomb", "max(min((z - cutoff.reserve_percent / 100) * c), 0)")
	e.Function("end_c_of", "c z f", "coulomb", "first(spare_of(q, c, z, f) <= 0, q, 0, reserve_c(c, z))")
	e.Function("run_s_of", "c z f", "s", "entry(state_of(end_c_of(c, z, f), c, z, f), 0)")
}

// cycleFunctions describes a run of a cycle over the time: k is the number of a cycle, u and m
// that of a segment, both from 0.
func (e *explainer) cycleFunctions() {
	e.shared()
	d := &e.w.draw
	list := func(id, unit, field string, value func(*sim.LoadSegment) float64, given func(*spec.Segment) bool) {
		values, parts := make([]float64, len(d.Segments)), make([]string, len(d.Segments))
		for i := range d.Segments {
			values[i], parts[i] = value(&d.Segments[i]), "0"
			if given(&e.w.q.Load.Segments[i]) {
				parts[i] = fmt.Sprintf("load.segments.%d.%s", i, field)
			}
		}
		e.List(id, unit, values, "list("+strings.Join(parts, ", ")+")")
	}
	list("segment_s", "s", "duration_s", func(s *sim.LoadSegment) float64 { return s.Seconds }, func(*spec.Segment) bool { return true })
	none := make([]float64, len(d.Segments))
	e.List("segment_a", "a", none, "0 * segment_s")
	e.List("segment_w", "w", none, "0 * segment_s")
	if e.any(func(s *spec.Segment) bool { return s.CurrentA != nil }) {
		list("segment_a", "a", "current_a", func(s *sim.LoadSegment) float64 { return s.AmpA }, func(s *spec.Segment) bool { return s.CurrentA != nil })
	}
	if e.any(func(s *spec.Segment) bool { return s.PowerW != nil }) {
		list("segment_w", "w", "power_w", func(s *sim.LoadSegment) float64 { return s.PowerW }, func(s *spec.Segment) bool { return s.PowerW != nil })
	}
	ends, numbers, sum := make([]float64, len(none)), make([]float64, len(none)), 0.0
	for i := range ends {
		sum += d.Segments[i].Seconds
		ends[i], numbers[i] = sum, float64(i)
	}
	e.List("segment_end_s", "s", ends, "sums(segment_s)")
	e.Set("cycle_s", "s", sum, "sum(segment_s)")
	e.Set("last_segment", "count", float64(len(ends)-1), "sum(segment_s > 0) - 1")
	e.List("segment_numbers", "count", numbers, "range(0, last_segment)")

	e.Function("segment_at", "t", "count", "min(sum(segment_end_s <= t - floor(t / cycle_s) * cycle_s), last_segment)")
	e.Function("flow_a", "q w c z f m", "a", "if(entry(segment_w, m) > 0, power_a(entry(segment_w, m), driving_v(q, w, c, z, f), f), entry(segment_a, m))")
	e.Function("change_of", "u w d f", "per second", "list(u, (u - w) / polar_s, warming_k(u, w, d, f), heat_w(u, w, f), u ^ 2)")
	e.Function("state_of", "t c z f", "state", "ode(change_of(flow_a(entry(y, 0), entry(y, 1), c, z, f, segment_at(x)), entry(y, 1), entry(y, 2), f), y, "+start+", x, 0, t)")
	e.Function("amps_of", "t c z f m", "a", "flow_a(entry(state_of(t, c, z, f), 0), entry(state_of(t, c, z, f), 1), c, z, f, m)")
	e.Function("spare_of", "t c z f m", "v", "min(spare_v(entry(state_of(t, c, z, f), 0), entry(state_of(t, c, z, f), 1), entry(state_of(t, c, z, f), 2), amps_of(t, c, z, f, m), c, z, f), min(z - entry(state_of(t, c, z, f), 0) / c) - cutoff.reserve_percent / 100)")
	e.Function("begin_s", "u k", "s", "k * cycle_s + entry(segment_end_s, u) - entry(segment_s, u)")
	e.Function("least_spare", "u k c z f", "v", "min(spare_of(begin_s(u, k), c, z, f, u), spare_of(k * cycle_s + entry(segment_end_s, u), c, z, f, u))")
	e.Function("cycles_bound", "c z", "count", "ceil(max(z) * c / sum(segment_s * (segment_a + segment_w / sum(rested_v(z))))) + 1")
}

// any reports whether some segment of the load is so.
func (e *explainer) any(so func(*spec.Segment) bool) bool {
	for i := range e.w.q.Load.Segments {
		if so(&e.w.q.Load.Segments[i]) {
			return true
		}
	}
	return false
}

// run describes the time of one run as id, and in a cycle where it ends.
func (e *explainer) run(id string, r *sim.Drawn, c corner, args string) {
	if e.w.draw.Kind != sim.LoadCycle {
		e.Set(id+"_s", "s", r.Seconds, "run_s_of("+args+")")
		return
	}
	cycles, segment := id+"_cycles", id+"_segment"
	e.Search(cycles, "count", r.Cycles, "first_step(min(least_spare(segment_numbers, k, "+args+")) <= 0, k, 0, cycles_bound("+capacityAndCharge(args)+"))")
	e.Search(segment, "count", float64(r.Segment), "first_step(least_spare(m, "+cycles+", "+args+") <= 0, m, 0, last_segment)")
	from := "begin_s(" + segment + ", " + cycles + ")"
	e.Set(id+"_s", "s", r.Seconds, "first(spare_of(t, "+args+", "+segment+") <= 0, t, "+from+", "+from+" + entry(segment_s, "+segment+"))")
}

func capacityAndCharge(args string) string { return args[:strings.LastIndexByte(args, ',')] }

const expected = "capacity_c, cell_charge, 1"

// runs describes the expected run and those at the ends of what is uncertain.
func (e *explainer) runs() {
	w := e.w
	s := &w.span
	e.run("expected", &w.run0, corner{}, expected)
	if w.draw.Kind != sim.LoadCycle {
		e.Set("drawn_c", "coulomb", w.run0.Coulombs, "end_c_of("+expected+")")
		e.List("end_state", "state", e.endState(), "state_of(drawn_c, "+expected+")")
	} else {
		e.List("end_state", "state", e.endState(), "state_of(expected_s, "+expected+")")
		e.Set("drawn_c", "coulomb", w.run0.Coulombs, "entry(end_state, 0)")
	}
	corners := func(id string, c corner, args string) {
		r := w.at(c)
		e.run(id, &r, c, args)
	}
	least, most := w.model.OhmRange()
	const lowest, highest = "capacity_low_c, cell_charge_low, ", "capacity_high_c, cell_charge_high, "
	corners("least", corner{cell.Low, cell.Low, most}, lowest+"ohm_high")
	corners("most", corner{cell.High, cell.High, least}, highest+"ohm_low")
	low, high := "min(expected_s, least_s)", "max(expected_s, most_s)"
	if w.draw.Kind == sim.LoadResistance {
		corners("swift", corner{cell.Low, cell.Low, least}, lowest+"ohm_low")
		corners("choked", corner{cell.High, cell.High, most}, highest+"ohm_high")
		// The long end is that of a run that no heat ends.
		const rest = "cell_spare_v(q, entry(state_of(q, c, z, f), 1), flow_a(q, entry(state_of(q, c, z, f), 1), c, z, f), c, z, f)"
		e.Function("cool_spare_of", "q c z f", "v", rest)
		e.Set("long_c", "coulomb", s.long.Coulombs, "first(cool_spare_of(q, "+highest+"ohm_low) <= 0, q, 0, reserve_c(capacity_high_c, cell_charge_high))")
		e.Set("long_s", "s", s.long.Seconds, "entry(state_of(long_c, "+highest+"ohm_high), 0)")
		low, high = "min(expected_s, least_s, most_s, swift_s, choked_s)", "max(expected_s, least_s, most_s, long_s)"
	}
	e.Set("low_s", "s", s.low, low)
	e.Set("high_s", "s", s.high, high)
	if w.run0.Stop != sim.StopReserve {
		corners("less_capacity", corner{coulomb: cell.Low}, "capacity_low_c, cell_charge, 1")
		corners("less_charge", corner{charge: cell.Low}, "capacity_c, cell_charge_low, 1")
		corners("more_resistance", corner{ohm: most}, "capacity_c, cell_charge, ohm_high")
		e.Set("by_capacity_s", "s", s.byCapacity, "max(0, expected_s - less_capacity_s)")
		e.Set("by_start_s", "s", s.byStart, "max(0, expected_s - less_charge_s)")
		e.Set("by_resistance_s", "s", s.byResists, "max(0, expected_s - more_resistance_s)")
	} else if w.run0.Coulombs > 0 {
		e.Set("by_capacity_s", "s", s.byCapacity, "min(expected_s - low_s, expected_s * (1 - capacity_low_c / capacity_c))")
		e.Set("by_start_s", "s", s.byStart, "min(expected_s - low_s, expected_s / drawn_c * (min(cell_charge) - min(cell_charge_low)) * capacity_c)")
		e.Set("by_resistance_s", "s", s.byResists, "max(0, (expected_s - by_start_s) * capacity_low_c / capacity_c - low_s)")
	}
}

// endState is the state at the end of the expected run.
func (e *explainer) endState() []float64 {
	r := &e.w.run0
	first := r.Seconds
	if e.w.draw.Kind == sim.LoadCycle {
		first = r.Coulombs
	}
	return []float64{first, r.FilteredA, r.EndDegC - e.w.model.Thermal.AmbientDegC, r.HeatJ, r.SquareA2S}
}
