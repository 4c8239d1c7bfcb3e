package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// useRules judge what a load asks of the pack.
func useRules() []Rule {
	return []Rule{
		currentBeyondPack(), powerBeyondPack(), overContinuous(), overBurst(), cutoffTooLow(), startBelowReserve(),
		useTemperature(), coldInUse(), leadUndersized(), smallReserve(),
	}
}

// Running is what a question has worked out about a load.
type Running struct {
	AskedA, AskedW float64 // the largest current and power that it asks for; 0 where it has none
	AmpAt, PowerAt string  // where those stand
	LoadAt         string  // where the load is described
	MostA, MostW   float64 // what the rested pack can give before a cell is at the cut-off
	PeakA          float64 // the largest current of the run
	SteadyA        float64 // the current that heats: by its square in the mean, or longer than a burst
	WireA          float64 // what the lead's wire carries for hours; 0 where its gauge is not known
	CutoffV        float64
	ReservePercent float64
	StartPercent   float64 // charge of the emptiest cell
	PeakDegC       float64
	StartDegC      float64
	AmbientGiven   bool
}

const (
	// HottestInUseDegC is the temperature in degrees Celsius at which a run is ended.
	HottestInUseDegC = 70.0
	// BurstS is how long, in seconds, a burst rating holds.
	BurstS = 10.0
	// UsualReservePercent is the charge a pack is landed with.
	UsualReservePercent = 20.0

	burstOfContinuous = 2.0
)

func inUse(f *Facts) bool { return f.Running != nil }

func burstLength() spec.Source { return spec.Practice("a burst rating holds for about 10 s") }

func currentBeyondPack() Rule {
	return Rule{
		ID: "current-beyond-pack", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The load drives a cell to the cut-off as soon as it comes on",
		Rationale: "The current over the pack's resistance pulls the weakest cell below the cut-off at once, however full it is.",
		Remedy:    "use a larger pack, one of lower resistance, or a lighter load",
		Source:    arithmetic("the current at which the weakest rested cell, over its ohmic resistance, is at the cut-off"),
		Value:     "asked_a", Against: "most_a",
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			if r := f.Running; r.StartPercent > r.ReservePercent && beyond(r.AskedA, r.MostA) {
				out.Hit(0, r.AskedA, r.MostA, fmt.Sprintf("the load asks for %s A, and this pack can give at most %s A before its weakest cell is at %s V", spec.Short(r.AskedA), spec.Beside(r.MostA, r.AskedA), spec.Plain(r.CutoffV)), r.AmpAt)
			}
		},
	}
}

func powerBeyondPack() Rule {
	return Rule{
		ID: "power-beyond-pack", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Stop, Unit: "w"}},
		Title:     "The load asks for more power than the pack can give",
		Rationale: "More current lowers the voltage. At some power a cell is at the cut-off, and beyond half of the pack's voltage no current gives more.",
		Remedy:    "use a larger pack, one of lower resistance, or a lighter load",
		Source:    arithmetic("the power at which the weakest rested cell is at the cut-off, and at most E²/4R"),
		Value:     "asked_w", Against: "most_w",
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			if r := f.Running; r.StartPercent > r.ReservePercent && beyond(r.AskedW, r.MostW) {
				out.Hit(0, r.AskedW, r.MostW, fmt.Sprintf("the load asks for %s W, and this pack can give at most %s W before its weakest cell is at %s V", spec.Short(r.AskedW), spec.Beside(r.MostW, r.AskedW), spec.Plain(r.CutoffV)), r.PowerAt)
			}
		},
	}
}

func overContinuous() Rule {
	return Rule{
		ID: "load-over-continuous", Family: InUse, Since: "0.2.0",
		Levels:    []Level{from(spec.Caution, 1, "ratio"), from(spec.Stop, 1.5, "ratio")},
		Title:     "The load is above what the pack is rated for continuously",
		Rationale: "Above its continuous rating a pack heats faster than it can cool, ages fast and swells. What counts is the current that heats as much as the run does, and any that lasts longer than a burst.",
		Remedy:    "use a pack of higher rating or capacity, or a lighter load",
		Source:    spec.Practice("a load that lasts stays within the continuous rating; half as much again is no load for the pack"),
		Value:     "steady_a / (pack.max_discharge_c_rate * pack.capacity_mah / 1000)",
		Needs:     []Input{dischargeRate()},
		Applies:   inUse,
		Check: func(f *Facts, out *Out) {
			rated := *f.Pack.MaxDischargeCRate * f.Pack.CapacityMAh / 1000
			share := f.Running.SteadyA / rated
			if i := out.Worst(func(limit float64) bool { return beyond(share, limit) }); i >= 0 {
				out.Hit(i, share, out.Limit(i), fmt.Sprintf("the load amounts to a steady %s A, and the pack is rated for %s A", spec.Beside(f.Running.SteadyA, rated), spec.Plain(rated)), f.Running.LoadAt, "/pack/max_discharge_c_rate")
			}
		},
	}
}

// burstRating is the burst rating of the label in amperes, or where it prints none twice the
// continuous one.
func burstRating(f *Facts) (amps float64, field string) {
	if r := f.Pack.BurstDischargeCRate; r != nil {
		return *r * f.Pack.CapacityMAh / 1000, "/pack/burst_discharge_c_rate"
	}
	return burstOfContinuous * *f.Pack.MaxDischargeCRate * f.Pack.CapacityMAh / 1000, "/pack/max_discharge_c_rate"
}

func (f *Facts) burstFormula() string {
	if f.Pack.BurstDischargeCRate != nil {
		return "pack.burst_discharge_c_rate * pack.capacity_mah / 1000"
	}
	return "constant.burst_of_continuous * pack.max_discharge_c_rate * pack.capacity_mah / 1000"
}

func overBurst() Rule {
	return Rule{
		ID: "load-over-burst", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The peak of the load is above the pack's burst rating",
		Rationale: "Beyond the burst rating tabs and electrodes overheat within seconds. Printed ratings are seldom earned, so there is no room above them.",
		Remedy:    "use a pack of higher rating or capacity, or a lighter load",
		Source:    spec.Practice("no current passes the burst rating; where none is printed it is taken as twice the continuous one"),
		Value:     "peak_a", Against: "$burst_a",
		Needs: []Input{needs(func(f *Facts) bool {
			return f.Pack.BurstDischargeCRate != nil || f.Pack.MaxDischargeCRate != nil
		}, "/pack/burst_discharge_c_rate", "/pack/max_discharge_c_rate")},
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			rated, field := burstRating(f)
			if peak := f.Running.PeakA; beyond(peak, rated) {
				out.Hit(0, peak, rated, fmt.Sprintf("the load peaks at %s A, and the pack is rated for bursts of %s A", spec.Beside(peak, rated), spec.Plain(rated)), f.Running.LoadAt, field)
			}
		},
	}
}

func cutoffTooLow() Rule {
	return Rule{
		ID: "cutoff-too-low", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Stop, Unit: "v"}},
		Title:     "The cut-off voltage is too low",
		Rationale: "Below it the weakest cell is driven toward reversal, and a lithium cell dissolves copper that later shorts it.",
		Remedy:    "set the cut-off at the chemistry's lowest voltage under load or above it",
		Source:    spec.Source{Kind: spec.Paper, Title: "H. Maleki, H. Wang, W. Porter, J. Hallmark, J. Power Sources 263, 223-230", Clause: "3.0 V as the lower limit of cobalt-oxide cells; the other chemistries' limits stand with their data", Year: 2014, Standing: spec.Read},
		Value:     "cutoff.cell_voltage_v", Against: "chem.loaded_floor_cell_v",
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			if v, floor := f.Running.CutoffV, f.Chemistry.LoadedFloor.Value; v < floor*(1-1e-9) {
				out.Hit(0, v, floor, fmt.Sprintf("the cut-off is %s V a cell, and a %s cell is not run below %s V under load", spec.Plain(v), f.Pack.Chemistry, spec.Plain(floor)), "/cutoff/cell_voltage_v")
			}
		},
	}
}

func startBelowReserve() Rule {
	return Rule{
		ID: "start-below-reserve", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Stop, Unit: "percent"}},
		Title:     "The pack is at its reserve before it runs",
		Rationale: "What is left is what a run must leave in the pack.",
		Remedy:    "charge the pack first, unless another finding forbids that",
		Source:    spec.Practice("a pack is landed with 20 to 30 % left"),
		Value:     "min(cell_charge) * 100", Against: "cutoff.reserve_percent",
		Needs:   []Input{startOfCharge()},
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			if r := f.Running; r.StartPercent <= r.ReservePercent {
				out.Hit(0, r.StartPercent, r.ReservePercent, fmt.Sprintf("the emptiest cell holds %s %%, and the run is to leave %s %%", spec.Short(max(r.StartPercent, 0)), spec.Plain(r.ReservePercent)), "/pack")
			}
		},
	}
}

func useTemperature() Rule {
	return Rule{
		ID: "use-temperature", Family: InUse, Since: "0.2.0", Levels: []Level{from(spec.Caution, 60, "degc"), from(spec.Stop, HottestInUseDegC, "degc")},
		Title:     "The run is expected to heat the pack too far",
		Rationale: "Above 60 °C a cell ages with every minute and its gas swells it; not far beyond, some begin to heat themselves. The prediction is on the warm side, because a warm pack has less resistance.",
		Remedy:    "use a larger pack or a lighter load, give it air, let it cool between runs",
		Source:    spec.Practice("a pack too hot to hold is too hot: 60 °C is the usual end of its range, and nothing is run at 70 °C"),
		Value:     "peak_degc",
		Applies:   inUse,
		Check: func(f *Facts, out *Out) {
			peak := f.Running.PeakDegC
			if i := out.Worst(func(limit float64) bool { return peak >= limit*(1-1e-9) }); i >= 0 {
				out.Hit(i, peak, out.Limit(i), fmt.Sprintf("the pack is expected to reach %s °C", spec.Short(peak)), "/pack", "/load")
			}
		},
	}
}

func coldInUse() Rule {
	return Rule{
		ID: "cold-in-use", Family: InUse, Since: "0.2.0", Levels: []Level{from(spec.Caution, 10, "degc"), from(spec.Stop, -20, "degc")},
		Title:     "The pack is cold",
		Rationale: "A cold pack has more resistance: it sags further, gives less of its charge, and an alarm set for a warm one sounds early.",
		Remedy:    "keep the pack at room temperature until it is used",
		Source:    spec.Source{Kind: spec.Handbook, Title: "Published cell specifications", Clause: "discharge from -20 to 60 °C; 10 °C is common practice", Standing: spec.FromMemory},
		Value:     "start_degc",
		Needs: []Input{needs(func(f *Facts) bool { return f.Pack.TemperatureDegC != nil || f.Running.AmbientGiven },
			"/pack/temperature_degc", "/ambient_degc")},
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			cold, field := f.Running.StartDegC, "/ambient_degc"
			if f.Pack.TemperatureDegC != nil {
				field = "/pack/temperature_degc"
			}
			if i := out.Worst(func(limit float64) bool { return cold < limit }); i >= 0 {
				out.Hit(i, cold, out.Limit(i), fmt.Sprintf("the pack starts at %s °C, below %s °C", spec.Plain(cold), spec.Plain(out.Limit(i))), field)
			}
		},
	}
}

func leadUndersized() Rule {
	return Rule{
		ID: "lead-undersized", Family: InUse, Since: "0.2.0", Levels: []Level{{Severity: spec.Caution, Unit: "a"}},
		Title:     "The main lead is too thin for the load",
		Rationale: "An overloaded wire or connector gets hot, wastes power and loosens its solder.",
		Remedy:    "fit a heavier lead and connector, or use a lighter load",
		Source:    spec.Source{Kind: spec.Derived, Title: "the maker's rating of the connector; the wire by ASTM B258 diameter and IEC 60028 copper, insulated, brought from 30 to 80 °C in still air"},
		Value:     "steady_a", Against: "pack.main_lead.connector_max_current_a | wire_a",
		Needs: []Input{needs(func(f *Facts) bool {
			l := f.Pack.MainLead
			return l != nil && (l.WireAWG != nil || l.ConnectorMaxCurrentA != nil)
		}, "/pack/main_lead/wire_awg", "/pack/main_lead/connector_max_current_a")},
		Applies: inUse,
		Check: func(f *Facts, out *Out) {
			r, l := f.Running, f.Pack.MainLead
			if c := l.ConnectorMaxCurrentA; c != nil && beyond(r.SteadyA, *c) {
				out.Hit(0, r.SteadyA, *c, fmt.Sprintf("the load amounts to a steady %s A through a connector rated for %s A", spec.Beside(r.SteadyA, *c), spec.Plain(*c)), "/pack/main_lead/connector_max_current_a", r.LoadAt)
			}
			if l.WireAWG != nil && beyond(r.SteadyA, r.WireA) {
				out.Hit(0, r.SteadyA, r.WireA, fmt.Sprintf("the load amounts to a steady %s A through %d AWG wire, which carries %s A for hours", spec.Short(r.SteadyA), *l.WireAWG, spec.Beside(r.WireA, r.SteadyA)), "/pack/main_lead/wire_awg", r.LoadAt)
			}
		},
	}
}

func smallReserve() Rule {
	return Rule{
		ID: "reserve-small", Family: InUse, Since: "0.2.0", Levels: []Level{from(spec.Note, UsualReservePercent, "percent")},
		Title:     "The run leaves little in the pack",
		Rationale: "Deep discharges wear a pack, its weakest cell goes further down than the others, and nothing is left to bring the model home.",
		Remedy:    "leave a fifth of the charge in the pack",
		Source:    spec.Practice("a pack is landed with 20 to 30 % left"),
		Value:     "cutoff.reserve_percent",
		Applies:   inUse,
		Check: func(f *Facts, out *Out) {
			if p := f.Running.ReservePercent; p < out.Limit(0)*(1-1e-9) {
				out.Hit(0, p, out.Limit(0), fmt.Sprintf("the run is to leave %s %% in the pack", spec.Plain(p)), "/cutoff/reserve_percent")
			}
		},
	}
}

// inUseConstants are the limits of these rules that are no level's own.
func inUseConstants() []cell.Constant {
	return []cell.Constant{
		{Name: "burst_of_continuous", Unit: "ratio", Says: "a burst rating against the continuous one, where none is printed", Param: cell.Param{Value: burstOfContinuous, Source: spec.Practice("printed burst ratings are about twice the continuous ones")}},
		{Name: "burst_s", Unit: "s", Says: "how long a burst rating holds", Param: cell.Param{Value: BurstS, Source: burstLength()}},
		{Name: "usual_reserve_percent", Unit: "percent", Says: "what a run leaves in the pack", Param: cell.Param{Value: UsualReservePercent, Source: spec.Practice("a pack is landed with 20 to 30 % left")}},
	}
}
