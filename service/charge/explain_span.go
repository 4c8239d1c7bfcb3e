package charge

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	fullest  = "capacity_low_c, cell_charge_high, cell_ohm * "
	emptiest = "capacity_high_c, cell_charge_low, cell_ohm * "
)

// rangeFunctions describes the ends of the range of a charge at a current i
// (span.go).
func (e *explainer) rangeFunctions() {
	e.Function("far_of", "i", "truth", "i > constant.far_from_taper * taper_a and max(cell_charge_high) < constant.far_from_full and i * max(cell_ohm) * ohm_high <= constant.far_from_top_v")
	grid := make([]float64, thorough().grid+1)
	for i := range grid {
		grid[i] = float64(i)
	}
	e.List("grid_steps", "count", grid, "range(0, constant.search_grid)")
	e.Function("slow_f_of", "i", "ratio", "if(far_of(i), ohm_high, argmax(main_s_of(i, "+emptiest+"f), f, ohm_low, ohm_high))")
	e.Function("quick_f_of", "i", "ratio", "if(far_of(i), ohm_low, argmin(main_s_of(i, "+fullest+"f), f, ohm_low, ohm_high))")
	e.Function("high_main_s_of", "i", "s", "if(far_of(i), main_s_of(i, "+emptiest+"ohm_high), greatest(main_s_of(i, "+emptiest+"f), f, ohm_low, ohm_high))")
	e.Function("balance_per_c_of", "i", "s per coulomb", "max(balance_s_of(i, "+fullest+"ohm_low) / capacity_low_c, balance_s_of(i, "+expectedCells+") / capacity_c)")
	e.Function("high_balance_s_of", "i", "s", "max(balance_per_c_of(i) * capacity_high_c, if(far_of(i), balance_s_of(i, "+emptiest+"ohm_high), "+
		"largest(balance_s_of(i, "+emptiest+"f), f, exp(ln(ohm_low) + grid_steps / constant.search_grid * (ln(ohm_high) - ln(ohm_low))))))")
	e.Function("high_s", "i", "s", "max(main_s_of(i, "+expectedCells+") + balance_s_of(i, "+expectedCells+"), high_main_s_of(i) + high_balance_s_of(i))")
}

// span describes the range of the time and what widens it.
func (e *explainer) span() {
	w := e.w
	s := &w.span
	e.Search("quick_f", "ratio", s.quickF, "quick_f_of(current_a)")
	e.Set("short_s", "s", s.short, "main_s_of(current_a, "+fullest+"quick_f)")
	e.Set("least_s", "s", s.low, "min(short_s, main_s)")
	e.Search("slow_f", "ratio", s.end.factor, "slow_f_of(current_a)")
	e.Set("long_main_s", "s", s.end.main, "main_s_of(current_a, "+emptiest+"slow_f)")
	e.Set("long_main_c", "coulomb", s.end.mainC, "end_c_of(current_a, "+emptiest+"slow_f)")
	e.Set("long_balance_s", "s", s.end.balance, "high_balance_s_of(current_a)")
	e.Set("latest_s", "s", s.high, "max(expected_s, long_main_s + long_balance_s)")
	full := "charge_at(end_cell_v - taper_a * cell_ohm * ohm_low)"
	if w.upToV > 0 {
		full = "min(" + full + ", up_to)"
	}
	e.Set("most_c", "coulomb", s.highC, "max(max(("+full+" - cell_charge_low) * capacity_high_c), 0, last_c)")
	e.Set("emptier_s", "s", s.byStart-s.end.balance, "max(long_main_c / (capacity_high_c / capacity_c) - main_c, 0) / current_a")
	e.Set("by_start_s", "s", s.byStart, "emptier_s + long_balance_s")
	e.Set("by_capacity_s", "s", s.byCapacity, "main_s * (capacity_high_c / capacity_c - 1)")
	e.Set("by_resistance_s", "s", s.byResists, "max(0, long_main_s / (capacity_high_c / capacity_c) - main_s - emptier_s)")
}

// duration shows the range.
func (e *explainer) duration() {
	d := e.w.plan.Duration
	e.SetShown("/duration/expected_min", "expected_min", "min", e.w.span.expected/minute, "expected_s / 60")
	e.SetShown("/duration/low_min", "low_min", "min", e.w.span.low/minute, "least_s / 60")
	e.SetShown("/duration/high_min", "high_min", "min", e.w.span.high/minute, "latest_s / 60")
	for i := range d.Drivers {
		e.driver(i, &d.Drivers[i])
	}
}

func (e *explainer) driver(i int, d *spec.Driver) {
	s := &e.w.span
	id, seconds := "by_resistance_s", s.byResists
	switch d.Field {
	case "/pack/measured_capacity_mah":
		id, seconds = "by_capacity_s", s.byCapacity
	case "/pack/cell_voltages_v", "/pack/charge_percent":
		id, seconds = "by_start_s", s.byStart
		if e.w.model.From == spec.FromAssumedEmpty && e.w.facts.Chemistry.Curve != nil {
			id, seconds = "expected_s - least_s", s.expected-s.low
		}
	}
	e.SetShown(fmt.Sprintf("/duration/drivers/%d/widens_min", i), fmt.Sprintf("driver.%d.widens_min", i), "min", seconds/minute, "("+id+") / 60")
}
