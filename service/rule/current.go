package rule

import (
	"fmt"
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// currentRules judge the charge current.
func currentRules() []Rule {
	return []Rule{overLabel(), overCharger(), minimumTooHigh(), balanceLeadOver(), connectorOver(), wireOver(), dropUnseen(), deadlineMissed(), alreadyCharged(), heatsPack(), takesLong()}
}

// beyond allows for rounding where a current equals its limit.
func beyond(current, limit float64) bool { return current > limit*(1+1e-9) }

// SmallPackRounding is how far 1 C may be passed to reach the charger's next
// step, as a fraction (common practice: a 0.95 Ah pack at 1.0 A).
const SmallPackRounding = 0.06

func overLabel() Rule {
	return Rule{
		ID: "charge-current-over-label", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The current is above what the pack allows",
		Rationale: "Above its charge rate a lithium cell plates metal and overheats, and a nimh cell vents.",
		Remedy:    "ask for a lower current, or for a pace",
		Source:    spec.Practice("1 C where the label prints no charge rate (0.5 C for cylindrical lithium ion, 0.1 C for nimh), else the label's"),
		Value:     "$judged_a",
		Against:   "label_a",
		Needs:     []Input{currentGiven()},
		Check: func(f *Facts, out *Out) {
			if f.Planning && !f.Current.Asked {
				return // a plan does not pass the label by itself
			}
			label, printed := LabelCurrent(f)
			if c := f.Charging; c != nil {
				label, printed = c.LabelA, c.LabelPrinted // of all the packs on a parallel board
			}
			limit := label
			if !printed {
				limit = roundedUp(f, label)
			}
			if beyond(f.Current.Value, limit) {
				out.Hit(0, f.Current.Value, label, fmt.Sprintf("%s A is asked for, and the pack allows %s A", spec.Plain(f.Current.Value), spec.Beside(label, f.Current.Value)), f.Current.At, "/pack/max_charge_c_rate")
			}
		},
	}
}

// roundedUp is 1 C, or the charger's next step above it where that is within
// the rounding that practice accepts.
func roundedUp(f *Facts, oneC float64) float64 {
	if f.Charging == nil || f.Charging.StepA == 0 || f.Chemistry.DefaultC.Value != 1 {
		return oneC
	}
	up := math.Ceil(oneC/f.Charging.StepA-1e-9) * f.Charging.StepA
	if up <= oneC*(1+SmallPackRounding) {
		return max(up, oneC)
	}
	return oneC
}

// LabelCurrent is the charge current in amperes that the label allows, and
// whether the label prints it. Where it prints none, or one that no pack is
// sold with, the common practice of the chemistry holds.
func LabelCurrent(f *Facts) (a float64, printed bool) {
	ah, c := f.Pack.CapacityMAh/1000, f.Chemistry
	if r := f.Pack.MaxChargeCRate; r != nil && *r <= c.MostSoldC.Value {
		rate := *r
		if most := c.Fast.MostC.Value; most > 0 {
			rate = min(rate, most)
		}
		return rate * ah, true
	}
	return c.DefaultC.Value * ah, false
}

func overCharger() Rule {
	return Rule{
		ID: "charge-current-over-charger", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The current is above what the charger gives",
		Rationale: "The charger cannot be set to it; whoever asked is thinking of another charger or another unit.",
		Remedy:    "ask for a current within the charger's range, in amperes",
		Source:    arithmetic("the charger's largest current"),
		Value:     "$judged_a",
		Against:   "charger.max_charge_current_a",
		Needs:     []Input{aCharger(), currentGiven()},
		Check: func(f *Facts, out *Out) {
			if most := f.Charger.MaxChargeCurrentA; beyond(f.Current.Value, most) {
				out.Hit(0, f.Current.Value, most, fmt.Sprintf("%s A is asked for, and the charger gives at most %s A", spec.Plain(f.Current.Value), spec.Plain(most)), f.Current.At, "/charger/max_charge_current_a")
			}
		},
	}
}

func minimumTooHigh() Rule {
	return Rule{
		ID: "charger-minimum-too-high", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The charger's smallest current is too high for this pack",
		Rationale: "The charger cannot be set low enough for the pack in the state it is in.",
		Remedy:    "use a charger that can be set lower, or a stronger supply where that is the limit",
		Source:    arithmetic("the charger's smallest current against the least of the pack's own limits"),
		Value:     "smallest_a",
		Against:   "goal.current_a | safe_a | recovery_limit_a",
		Needs:     []Input{charging()},
		Check: func(f *Facts, out *Out) {
			c := f.Charging
			if f.Current != nil && f.Current.Asked && beyond(c.SmallestA, f.Current.Value) {
				out.Hit(0, c.SmallestA, f.Current.Value, fmt.Sprintf("the charger gives no less than %s A, and %s A is asked for", spec.Plain(c.SmallestA), spec.Plain(f.Current.Value)), "/charger/min_charge_current_a", f.Current.At)
				return
			}
			safe, why := c.SafeA, c.SafeBecause
			if c.RecoveryA > 0 && c.RecoveryA < safe {
				safe, why = c.RecoveryA, "a deeply discharged pack begins at a low rate"
			}
			// Where nothing at all is safe, as in the cold, another rule says so.
			if safe > 0 && beyond(c.SmallestA, safe) {
				at := []string{"/charger/min_charge_current_a", "/charger/charge_current_step_a"}
				if c.SupplyA > 0 && c.SupplyA <= safe {
					at = []string{"/charger/supply/power_w", "/charger/min_charge_current_a"}
				}
				out.Hit(0, c.SmallestA, safe, fmt.Sprintf("the charger gives no less than %s A, and no more than %s A is safe here: %s", spec.Plain(c.SmallestA), spec.Beside(safe, c.SmallestA), why), at...)
			}
		},
	}
}

// judged is the current that a lead must carry: the one asked for or planned,
// or the charger's smallest where that is higher.
func judged(f *Facts) (a float64, where string) {
	a, where = f.Current.Value, f.Current.At
	if f.Charging != nil && f.Charging.SmallestA > a {
		a, where = f.Charging.SmallestA, "/charger/min_charge_current_a"
	}
	return a, where
}

func balanceLeadOver() Rule {
	return Rule{
		ID: "balance-lead-overcurrent", Family: OnCharger, Since: "0.1.0", Levels: []Level{from(spec.Stop, BalanceLeadA, "a")},
		Title:     "The balance lead cannot carry the charge current",
		Rationale: "The thin wires and small contacts of a balance lead overheat.",
		Remedy:    "charge through the main lead, or at a lower current",
		Source:    spec.Source{Kind: spec.Handbook, Title: "Rating of the common 2.5 mm pitch balance connector with 22 AWG wire", Clause: "3 A", Standing: spec.FromMemory},
		Value:     "max($judged_a, smallest_a)",
		Needs:     []Input{aCharger(), currentGiven()},
		Applies:   lithium, // a nimh pack has no balance lead
		Check: func(f *Facts, out *Out) {
			if a, where := judged(f); f.Charger.Balance == spec.BalanceLeadOnly && beyond(a, out.Limit(0)) {
				out.Hit(0, a, out.Limit(0), fmt.Sprintf("%s A would go through the balance lead, which carries at most %s A", spec.Short3(a), spec.Plain(out.Limit(0))), where, "/charger/balance")
			}
		},
	}
}

// BalanceLeadA is the current in amperes that a balance lead carries.
const BalanceLeadA = 3.0

func mainLead(has func(*spec.MainLead) bool, field string) Input {
	return packField("main_lead/"+field, func(p *spec.Pack) bool { return p.MainLead != nil && has(p.MainLead) })
}

func connectorOver() Rule {
	return Rule{
		ID: "connector-overcurrent", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The connector cannot carry the current",
		Rationale: "An overloaded connector melts its housing and the insulation beside it.",
		Remedy:    "charge at a lower current or fit a larger connector",
		Source:    spec.Source{Kind: spec.Standard, Title: "IEC 60512-5-2, test 5b", Clause: "current-temperature derating: the rating the maker declares", Standing: spec.Read},
		Value:     "max($judged_a, smallest_a)",
		Against:   "pack.main_lead.connector_max_current_a",
		Needs:     []Input{currentGiven(), mainLead(func(l *spec.MainLead) bool { return l.ConnectorMaxCurrentA != nil }, "connector_max_current_a")},
		Applies:   throughMainLead,
		Check: func(f *Facts, out *Out) {
			if a, where := judged(f); beyond(a, *f.Pack.MainLead.ConnectorMaxCurrentA) {
				out.Hit(0, a, *f.Pack.MainLead.ConnectorMaxCurrentA, fmt.Sprintf("%s A would go through a connector rated for %s A", spec.Short3(a), spec.Plain(*f.Pack.MainLead.ConnectorMaxCurrentA)), where, "/pack/main_lead/connector_max_current_a")
			}
		},
	}
}

// throughMainLead: the pack's own main lead carries the charge current. On a
// parallel board it carries only the pack's share.
func throughMainLead(f *Facts) bool {
	onBoard := f.Surroundings != nil && len(f.Surroundings.ParallelBoard) > 0
	return !onBoard && (!lithium(f) || f.Charger == nil || f.Charger.Balance != spec.BalanceLeadOnly)
}

func wireOver() Rule {
	return Rule{
		ID: "wire-overcurrent", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Stop, Unit: "a"}},
		Title:     "The wire cannot carry the current",
		Rationale: "An overloaded wire overheats and melts its insulation onto whatever it touches.",
		Remedy:    "charge at a lower current or have a heavier lead fitted",
		Source:    arithmetic("ASTM B258 diameter and IEC 60028 copper, insulated, brought from 30 to 80 °C in still air"),
		Value:     "max($judged_a, smallest_a)",
		Against:   "limit.wire",
		Needs:     []Input{currentGiven(), mainLead(func(l *spec.MainLead) bool { return l.WireAWG != nil }, "wire_awg")},
		Applies:   throughMainLead,
		Check: func(f *Facts, out *Out) {
			carries := cell.WireCurrent(*f.Pack.MainLead.WireAWG)
			if a, where := judged(f); beyond(a, carries) {
				out.Hit(0, a, carries, fmt.Sprintf("%s A would go through %d AWG wire, which carries %s A for hours", spec.Short3(a), *f.Pack.MainLead.WireAWG, spec.Beside(carries, a)), where, "/pack/main_lead/wire_awg")
			}
		},
	}
}

func dropUnseen() Rule {
	return Rule{
		ID: "voltage-drop-unseen", Family: OnCharger, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 0.5, "c_rate"), from(spec.Stop, 0.5, "c_rate").remedy("give charge_percent after emptying the pack, or charge at 0.5 to 1 C if the label allows it, or at 0.1 C for 16 hours")},
		Title:     "The current is too low for the charger to see the end of a nimh charge",
		Rationale: "At a low rate the voltage of a full nimh cell does not drop, and the charger goes on. Between the standard rate and half of 1 C only the clock and the charge count end the charge.",
		Remedy:    "charge at 0.5 to 1 C if the label allows it, or at 0.1 C for 16 hours, and set the charge cut-off and the time limit",
		Source:    spec.Source{Kind: spec.Handbook, Title: "A small nimh cell's published specification", Clause: "fast charge 0.5 to 1 C by voltage drop", Standing: spec.Read},
		Value:     "$judged_a / held_ah",
		Needs:     []Input{currentGiven()},
		Applies:   nickel,
		Check: func(f *Facts, out *Out) {
			standard, drop := NickelRates(f)
			rate := f.Current.Value / (drop / f.Chemistry.Fast.LeastC.Value) // of what the pack holds
			level, so := 0, "the clock must end the charge"
			if f.Pack.ChargePercent == nil {
				level, so = 1, "and nobody said how full the pack is, so the clock cannot end the charge either"
			}
			if limit := out.Limit(level); rate < limit*(1-1e-9) && beyond(f.Current.Value, standard) {
				out.Hit(level, rate, limit, fmt.Sprintf("at %s C the voltage drop of a full cell cannot be trusted; %s", spec.Beside(rate, limit), so), f.Current.At)
			}
		},
	}
}

// NickelRates are the currents in amperes between which the end of a nimh charge
// cannot be seen: the standard charge, which the clock may end, and the least at
// which the voltage drop shows. A worn pack is taken for what it still holds.
func NickelRates(f *Facts) (standardA, dropA float64) {
	rated := f.Pack.CapacityMAh / 1000
	held := rated
	if m := f.Pack.MeasuredCapacityMAh; m != nil {
		held = min(held, *m/1000)
	}
	standard := rated
	if held < wornCapacityPercent/100*rated {
		standard = held
	}
	return f.Chemistry.Fast.StandardC.Value * standard, f.Chemistry.Fast.LeastC.Value * held
}

func deadlineMissed() Rule {
	return Rule{
		ID: "deadline-cannot-be-met", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Caution, Unit: "min"}},
		Title:     "The pack may not be ready in time",
		Rationale: "The plan goes as fast as every limit allows and still may end after the deadline.",
		Remedy:    "start earlier, accept a later time, or measure what widens the range; do not raise the current",
		Source:    arithmetic("the high bound of the time at the highest current every limit allows"),
		Value:     "latest_s / 60",
		Against:   "goal.ready_in_min",
		Applies:   func(f *Facts) bool { return f.Planning && f.Charging.DeadlineMin > 0 },
		Check: func(f *Facts, out *Out) {
			if c := f.Charging; c.EarliestMin > 0 {
				out.Hit(0, c.EarliestMin, c.DeadlineMin, fmt.Sprintf("it is to be ready in %s min, and the earliest that is sure is %s min", spec.Plain(c.DeadlineMin), spec.Beside(c.EarliestMin, c.DeadlineMin)), "/goal/ready_in_min")
			}
		},
	}
}

func alreadyCharged() Rule {
	return Rule{
		ID: "already-charged", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Note)},
		Title:     "There is nothing to charge",
		Rationale: "The pack already rests at or near the target.",
		Remedy:    "leave it as it is",
		Source:    spec.Practice("a charged pack is not topped up"),
		Applies:   func(f *Facts) bool { return f.Planning },
		Check: func(f *Facts, out *Out) {
			if f.Charging.NothingToDo {
				out.Say(0, "the pack rests at the target, above it, or so little below that no charge would flow", "/pack")
			}
		},
	}
}

// HottestDegC is the temperature in degrees Celsius above which no cell is
// charged. A plan lowers its current to stay below it.
const HottestDegC = 60.0

func heatsPack() Rule {
	return Rule{
		ID: "charge-heats-pack", Family: OnCharger, Since: "0.1.0", Levels: []Level{from(spec.Caution, 45, "degc"), from(spec.Stop, HottestDegC, "degc")},
		Title:     "The charge is expected to heat the pack",
		Rationale: "By its own heat the pack would leave the temperatures at which it may be charged. The prediction is on the warm side at high rates.",
		Remedy:    "charge at a lower current, or in a cooler place",
		Source:    cell.ZoneNote("over 60 °C there is no charging; 45 °C is the end of the standard range of IEC 62133-2 (from memory)"),
		Value:     "peak_degc",
		Applies:   func(f *Facts) bool { return f.Planning },
		Check: func(f *Facts, out *Out) {
			peak := f.Charging.PeakDegC
			if i := out.Worst(func(limit float64) bool { return beyond(peak, limit) }); i >= 0 {
				out.Hit(i, peak, out.Limit(i), fmt.Sprintf("the pack is expected to reach %s °C, above %s °C", spec.Beside(peak, out.Limit(i)), spec.Plain(out.Limit(i))), "/pack", "/charger")
			}
		},
	}
}

func takesLong() Rule {
	return Rule{
		ID: "charge-takes-long", Family: OnCharger, Since: "0.1.0", Levels: []Level{from(spec.Note, 240, "min")},
		Title:     "Somebody must stay with the charge for hours",
		Rationale: "A charge is attended, awake, until it ends; one that takes many hours seldom is.",
		Remedy:    "plan for somebody to be there all the time, or use a stronger charger",
		Source:    spec.Practice("a charge that cannot be attended is not begun"),
		Value:     "expected_s / 60",
		Applies:   func(f *Facts) bool { return f.Planning },
		Check: func(f *Facts, out *Out) {
			if takes := f.Charging.ExpectedMin; beyond(takes, out.Limit(0)) {
				out.Hit(0, takes, out.Limit(0), fmt.Sprintf("the charge takes about %s min, and somebody must stay with it for all of them", spec.Beside(takes, out.Limit(0))), "/charger")
			}
		},
	}
}
