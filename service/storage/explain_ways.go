package storage

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// alternative shows the numbers of one way without the charger.
func (e *explainer) alternative(at string, a *Alternative, down float64) {
	switch a.Kind {
	case RunInModel:
		e.modelRun(at+"run/", down)
	case ThroughResistor:
		e.throughResistor(at + "resistor/")
	case ByWaiting:
		e.waiting(at + "wait/")
	}
}

// bears is the formula of what the pack bears (work.bears).
func (e *explainer) bears() string {
	parts := []string{"loaded_floor_a"}
	p := &e.w.q.Pack
	if p.MaxDischargeCRate != nil {
		parts = append(parts, "pack.max_discharge_c_rate * rated_ah")
	}
	if p.MainLead != nil && p.MainLead.ConnectorMaxCurrentA != nil {
		parts = append(parts, "pack.main_lead.connector_max_current_a")
	}
	return strings.Join(parts, ", ")
}

// ways shows a time as a range, given the current as a function of the charge that
// has passed, the capacity and the charge of the cells.
func (e *explainer) ways(at, id, current string, t times) {
	e.Function(id+"_s_of", "c z", "s", "integral(1 / "+current+"(q, c, z), q, 0, down_c_of(c, z))")
	e.Set(id+"_s", "s", t.expected, id+"_s_of(capacity_c, cell_charge)")
	e.SetShown(at+"expected_min", id+"_expected_min", "min", t.expected/minute, id+"_s / 60")
	e.SetShown(at+"low_min", id+"_low_min", "min", t.low/minute, "min("+id+"_s_of(capacity_low_c, cell_charge_low), "+id+"_s) / 60")
	e.SetShown(at+"high_min", id+"_high_min", "min", t.high/minute, "max("+id+"_s_of(capacity_high_c, cell_charge_high), "+id+"_s) / 60")
}

func (e *explainer) modelRun(at string, down float64) {
	w := e.w
	if w.q.Load == nil {
		e.Set("run_a", "a", w.shown.runA, "min(constant.store_pace_c_rate * rated_ah, "+e.bears()+")")
	}
	e.Function("load_a", "q c z", "a", e.load())
	e.ways(at, "run", "load_a", w.shown.run)
	e.SetShown(at+"mean_current_a", "run_mean_a", "a", down/w.shown.run.expected, "down_c / run_s")
}

// load is the current of the load given, or of 1 C.
func (e *explainer) load() string {
	l := e.w.q.Load
	switch {
	case l == nil:
		return "run_a + 0 * q"
	case l.Kind == spec.ConstantCurrent:
		return "load.current_a + 0 * q"
	case l.Kind == spec.ConstantPower:
		return powered("load.power_w")
	case l.Kind == spec.ConstantResistance:
		return "rest_v(q, c, z) / (load.resistance_ohm + sum(cell_ohm))"
	}
	// A formula is short: the segments are added up by eights.
	var sums, times []string
	for i := 0; i < len(l.Segments); i += 8 {
		var parts, lengths []string
		for j := i; j < min(i+8, len(l.Segments)); j++ {
			name := "load.segments." + strconv.Itoa(j)
			lengths = append(lengths, name+".duration_s")
			part := name + ".current_a + 0 * q"
			if l.Segments[j].CurrentA == nil {
				part = powered(name + ".power_w")
			}
			e.Function("load_part_"+strconv.Itoa(j), "q c z", "a", part)
			parts = append(parts, name+".duration_s * load_part_"+strconv.Itoa(j)+"(q, c, z)")
		}
		n := strconv.Itoa(i / 8)
		e.Function("load_sum_"+n, "q c z", "coulomb", strings.Join(parts, " + "))
		e.Set("load_time_"+n, "s", e.roundS(i, min(i+8, len(l.Segments))), strings.Join(lengths, " + "))
		sums, times = append(sums, "load_sum_"+n+"(q, c, z)"), append(times, "load_time_"+n)
	}
	return "(" + strings.Join(sums, " + ") + ") / (" + strings.Join(times, " + ") + ")"
}

// roundS is how long the segments from i to j last.
func (e *explainer) roundS(i, j int) float64 {
	sum := 0.0
	for _, s := range e.w.q.Load.Segments[i:j] {
		sum += s.DurationS
	}
	return sum
}

// powered is the current of a power.
func powered(watts string) string {
	return fmt.Sprintf("2 * %s / (rest_v(q, c, z) + sqrt(rest_v(q, c, z) ^ 2 - 4 * sum(cell_ohm) * %s))", watts, watts)
}

func (e *explainer) throughResistor(at string) {
	w, s := e.w, &e.w.shown
	iec := spec.Source{Kind: spec.Standard, Title: "IEC 60063:2015", Clause: "series E24", Year: 2015, Standing: spec.FromMemory}
	series := e24()
	e.DescribeList("constant.e24", "ratio", series[:], "preferred values of a decade", iec)
	e.Describe("constant.", []cell.Constant{{Name: "decade", Unit: "ratio", Says: "a decade of the series", Param: cell.Param{Value: 10, Source: iec}}})
	e.DescribeList("constant.sold_w", "w", wattages(), "ratings in which resistors are commonly sold", spec.Practice("resistors are sold for a quarter of a watt to a kilowatt"))
	limits := []string{"constant.resistor_c_rate * rated_ah", e.bears(), "constant.resistor_most_w / start_v"}
	p := &w.q.Pack
	if p.MainLead != nil && p.MainLead.WireAWG != nil {
		e.Set("wire_a", "a", cell.WireCurrent(*p.MainLead.WireAWG), e.wire())
		limits = append(limits, "wire_a")
	}
	if p.MaxDischargeCRate == nil {
		limits = append(limits, "constant.unprinted_c_rate * rated_ah")
	}
	e.Set("start_v", "v", e.startV(), "rest_v(0 * capacity_c, capacity_c, cell_charge)")
	e.Set("resistor_want_a", "a", s.wantA, "min("+strings.Join(limits, ", ")+")")
	e.Set("resistor_want_ohm", "ohm", s.wantOhm, "start_v / resistor_want_a")
	scale := decadeOf(s.wantOhm)
	e.Set("resistor_decade_ohm", "ohm", scale, "constant.decade ^ floor(ln(resistor_want_ohm) / ln(constant.decade) + 1e-9)")
	e.SetShown(at+"resistance_ohm", "resistor_ohm", "ohm", s.ohm,
		"resistor_decade_ohm * min(if(constant.e24 * resistor_decade_ohm >= resistor_want_ohm * (1 - 1e-9), constant.e24, constant.decade))")
	e.Function("resistor_a", "q c z", "a", "rest_v(q, c, z) / (resistor_ohm + sum(cell_ohm))")
	e.SetShown(at+"start_current_a", "resistor_start_a", "a", s.startA, "resistor_a(0 * capacity_c, capacity_c, cell_charge)")
	e.SetShown(at+"end_current_a", "resistor_end_a", "a", s.endA, "resistor_a(down_c, capacity_c, cell_charge)")
	watts := s.startA * s.startA * s.ohm
	e.SetShown(at+"dissipation_w", "resistor_w", "w", watts, "resistor_start_a ^ 2 * resistor_ohm")
	e.SetShown(at+"rating_w", "resistor_rating_w", "w", soldWattage(watts/resistorSpare),
		"min(if(constant.sold_w >= resistor_w / constant.resistor_derating * (1 - 1e-9), constant.sold_w, max(constant.sold_w)))")
	e.SetShown(at+"stop_voltage_v", "resistor_stop_v", "v", s.stopV, "resistor_end_a * resistor_ohm")
	e.ways(at, "resistor", "resistor_a", s.resistor)
}

func (e *explainer) waiting(at string) {
	s := &e.w.shown
	rate := e.w.chem.Leak.PerDay()
	e.Function("per_day", "x", "1 per day", "0 - ln(1 - x) / constant.leak_month_days")
	e.Set("leak_per_day", "1 per day", rate.Expected, "per_day(chem.self_discharge)")
	days := func(name string, value float64, charges, rate string) {
		e.SetShown(at+name, "wait_"+name, "days", value, "ln(max(mean("+charges+"), target_charge) / target_charge) / per_day(chem."+rate+")")
	}
	days("expected_days", s.wait.expected, "cell_charge", "self_discharge")
	days("low_days", s.wait.low, "cell_charge_low", "self_discharge_high")
	days("high_days", s.wait.high, "cell_charge_high", "self_discharge_low")
	e.SetShown(at+"loss_percent_per_month", "loss_percent_per_month", "percent per month", e.w.chem.Leak.Typical.Value*100, "chem.self_discharge * 100")
}
