package drain

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// explainer describes the steps of one estimate.
type explainer struct {
	*trace.Explainer

	w *work
}

func (w *work) explain(a *Estimate, judge *rule.Judge) []spec.TraceNode {
	e := &explainer{trace.NewExplainer(w.q, w.c, a.Assumed, judge), w}
	e.Model(&w.model, &w.q.Pack)
	e.draws()
	e.leak()
	e.start()
	e.times()
	e.first(a)
	e.left()
	for i := range a.Findings {
		e.Finding(fmt.Sprintf("/findings/%d", i), &a.Findings[i], &w.s.facts, "pack.")
	}
	e.ShowAssumed()
	return e.Nodes()
}

// each is a number of every group.
func (w *work) each(of func(i int) float64) []float64 {
	out := make([]float64, len(w.model.Groups))
	for i := range out {
		out[i] = of(i)
	}
	return out
}

// draws describes what stays connected: each drain as a list over the cells.
func (e *explainer) draws() {
	w := e.w
	e.List("cell_numbers", "count", w.each(func(i int) float64 { return float64(i + 1) }), "range(1, pack.cells_series)")
	sum := []string{"0 * cell_numbers"}
	for k := range w.q.Drains {
		d := &w.q.Drains[k]
		current := fmt.Sprintf("drains.%d.current_ma", k)
		formula := "repeat(" + current + ", pack.cells_series)"
		if d.Cells != nil {
			off := make([]string, len(d.Cells))
			for j := range d.Cells {
				off[j] = fmt.Sprintf("abs(cell_numbers - drains.%d.cells.%d)", k, j)
			}
			any := strings.Join(off, ", ")
			if len(off) > 1 {
				any = "min(" + any + ")"
			}
			formula = "if(" + any + " <= 0, " + current + ", 0)"
		}
		id := fmt.Sprintf("drawn_by.%d", k)
		e.List(id, "ma", w.each(func(i int) float64 {
			if d.draws(i) {
				return d.CurrentMA
			}
			return 0
		}), formula)
		sum = append(sum, id)
	}
	e.ListShown("/cells/*/current_ma", "drain_ma", "ma", w.each(func(i int) float64 { return w.groups[i].amp * 1000 }), strings.Join(sum, " + "))
}

// leak describes self-discharge.
func (e *explainer) leak() {
	r := e.w.c.Leak.PerDay()
	const rate = "0 - ln(1 - chem.self_discharge%s) / constant.leak_month_days"
	e.Set("leak_per_day", "per day", r.Expected, fmt.Sprintf(rate, ""))
	e.Set("leak_per_day_low", "per day", r.Low, fmt.Sprintf(rate, "_low"))
	e.Set("leak_per_day_high", "per day", r.High, fmt.Sprintf(rate, "_high"))
	e.ListShown("/cells/*/self_discharge_ma", "self_discharge_ma", "ma", e.w.each(func(i int) float64 {
		return r.Expected * max(e.w.model.Groups[i].Charge.Expected, cell.LeakHeld()) * e.w.model.Coulomb.Expected / 24 / milliampHour
	}), "leak_per_day * max(cell_charge, constant.leak_held) * capacity_c / 24 / 3.6")
}

func (e *explainer) start() {
	s := e.w.each(func(i int) float64 { return max(e.w.model.Groups[i].Charge.Expected, 0) * 100 })
	sum := 0.0
	for _, x := range s {
		sum += x
	}
	e.ListShown("/start/cell_charges_percent/*", "cell_percent", "percent", s, "max(cell_charge, 0) * 100")
	e.SetShown("/start/charge_percent", "start_percent", "percent", sum/float64(len(s)), "mean(cell_percent)")
}

// times describes when each cell is down to each level: what package sim solves
// is stated here whole. The arguments are the charge z at the start, y at the
// level, the capacity c and the leak l a day.
func (e *explainer) times() {
	w := e.w
	e.Function("lost_per_day", "c", "per day", "drain_ma * 3.6 * 24 / c")
	e.Function("fall_days", "z y c l", "days",
		"if(y >= z, 0 * z, ln1p((max(z, constant.leak_held) - max(y, constant.leak_held)) / (max(y, constant.leak_held) + lost_per_day(c) / l)) / l"+
			" + (min(z, constant.leak_held) - min(y, constant.leak_held)) / (lost_per_day(c) + l * constant.leak_held))")
	for _, level := range w.named() {
		e.Set(level.name+"_charge", "ratio", w.levels[level.level], level.charge)
		show := func(which, id string, pick func(span) float64, arguments string) {
			id = level.name + id
			e.ListShown("/cells/*/"+level.name+"/"+which, id, "days", w.each(func(i int) float64 { return pick(w.groups[i].ends[level.level]) }),
				fmt.Sprintf("fall_days("+arguments+")", level.name+"_charge"))
		}
		show("expected_days", "_days", func(s span) float64 { return s.expected }, "cell_charge, %s, capacity_c, leak_per_day")
		show("low_days", "_days_low", func(s span) float64 { return s.low }, "cell_charge_low, %s, capacity_low_c, leak_per_day_high")
		show("high_days", "_days_high", func(s span) float64 { return s.high }, "cell_charge_high, %s, capacity_high_c, leak_per_day_low")
	}
}

// named is a level as the trace names it.
type named struct {
	level        int
	name, charge string
}

func (w *work) named() []named {
	if w.c.Curve == nil {
		return []named{{empty, "empty", "0 * pack.cells_series"}}
	}
	return []named{
		{storage, "storage", "charge_at(chem.storage_cell_v)"},
		{safeStart, "safe_start", "charge_at(chem.safe_start_cell_v)"},
		{empty, "empty", "0 * pack.cells_series"},
		{floor, "floor", "charge_at(chem.floor_cell_v)"},
	}
}

// first describes the cell that is unsafe first.
func (e *explainer) first(a *Estimate) {
	w := e.w
	level := "safe_start"
	if w.c.Curve == nil {
		level = "empty"
	}
	e.SetShown("/first_unsafe/cell", "first_unsafe_cell", "count", float64(w.unsafe+1),
		"min(if("+level+"_days <= min("+level+"_days), cell_numbers, pack.cells_series))")
	e.Function("of_first", "x", "days", "min(if(abs(cell_numbers - first_unsafe_cell) <= 0, x, max(x)))")
	s := w.unsafeIn(w.unsafe)
	e.SetShown("/first_unsafe/expected_days", "first_unsafe_days", "days", s.expected, "of_first("+level+"_days)")
	e.SetShown("/first_unsafe/low_days", "soonest_unsafe_days", "days", s.low, "of_first("+level+"_days_low)")
	e.SetShown("/first_unsafe/high_days", "latest_unsafe_days", "days", s.high, "of_first("+level+"_days_high)")
	for k, id := range []string{"capacity", "start", "leak"} {
		low := [3]string{"cell_charge", "capacity_c", "leak_per_day"}
		high := low
		switch k {
		case 0:
			low[1], high[1] = "capacity_low_c", "capacity_high_c"
		case 1:
			low[0], high[0] = "cell_charge_low", "cell_charge_high"
		default:
			low[2], high[2] = "leak_per_day_high", "leak_per_day_low"
		}
		at := func(p [3]string) string {
			return "of_first(fall_days(" + p[0] + ", " + level + "_charge, " + p[1] + ", " + p[2] + "))"
		}
		x, shortens := w.widens(w.sources()[k])
		formula := "max(" + at(high) + " - first_unsafe_days, 0)"
		if shortens {
			formula = "first_unsafe_days - " + at(low)
		}
		e.Set("widens_by_"+id, "days", x, formula)
		for i := range a.FirstUnsafe.Drivers {
			d := &a.FirstUnsafe.Drivers[i]
			if d.Measure == w.sources()[k].measure {
				e.Show(fmt.Sprintf("/first_unsafe/drivers/%d/widens_days", i), "widens_by_"+id)
			}
		}
	}
}

// left describes what the idle time leaves.
func (e *explainer) left() {
	w := e.w
	e.Show("/left/idle_days", "idle_days")
	e.List("held_days", "days", w.each(func(i int) float64 {
		return w.rest(i, corner{}).Seconds(min(cell.LeakHeld(), w.model.Groups[i].Charge.Expected)) / day
	}), "fall_days(cell_charge, min(cell_charge, constant.leak_held), capacity_c, leak_per_day)")
	dead := "0 * cell_charge"
	if w.c.Curve != nil {
		dead = "charge_at(0)"
	}
	e.List("cell_left", "ratio", w.each(func(i int) float64 { return w.groups[i].left }), "max(if(idle_days <= held_days, cell_charge + (cell_charge + lost_per_day(capacity_c) / leak_per_day) * expm1(0 - leak_per_day * idle_days),"+
		" min(cell_charge, constant.leak_held) - (lost_per_day(capacity_c) + leak_per_day * constant.leak_held) * (idle_days - held_days)), "+dead+")")
	e.ListShown("/left/cell_charges_percent/*", "cell_left_percent", "percent", w.each(func(i int) float64 { return max(w.groups[i].left, 0) * 100 }), "max(cell_left, 0) * 100")
	e.SetShown("/left/spread_mah", "spread_after_mah", "mah", w.spread(leftOf)*w.model.Coulomb.Expected/milliampHour, "(max(cell_left) - min(cell_left)) * capacity_c / 3.6")
	if w.c.Curve == nil {
		return
	}
	e.ListShown("/left/cell_voltages_v/*", "cell_left_v", "v", w.each(func(i int) float64 { return w.groups[i].volt }), "max(chem.open_circuit(cell_left), 0)")
	e.SetShown("/left/spread_mv", "spread_after_mv", "mv", w.spread(voltOf)*1000, "(max(cell_left_v) - min(cell_left_v)) * 1000")
}
