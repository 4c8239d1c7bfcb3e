package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// steps is the procedure at the bench, for this charger and this pack.
func (w *work) steps() []string {
	if w.limits.NothingToDo {
		return []string{
			"Do not connect it: it rests at the target, above it, or so little below that no charge would flow.",
			"Measure it again before it is used.",
		}
	}
	s, p := w.plan.Settings, w.pen
	out := make([]string, 0, 14)
	add := func(step string) { out = append(out, step) }

	add("Look the pack over for swelling, dents, cuts and damaged leads. If anything is wrong, do not charge it.")
	if first := w.first(p); first != "" {
		add(first)
	}
	add("Put it in a fire-resistant bag or a vented metal box, on concrete, stone or tile, away from anything that burns and off the way out.")
	add(w.connect(p))
	add(w.chooseProgram(p))
	add(w.countCells(p))
	add(w.setCurrent(p))
	if s.Termination == nil {
		add(w.endOfLithium(p))
	} else {
		add(w.endOfNickel(p))
	}
	p.s("Set the charge cut-off to ").n(s.ChargeCutoffMAh).s(" mAh and the time limit to ").n(s.TimeLimitMin).s(" min")
	if timer := w.q.Charger.SafetyTimer; timer != nil && !*timer {
		p.s("; the charger has no timer, so set an alarm by hand")
	}
	add(p.s(".").end())
	watch := ""
	if w.severalCells() {
		watch = "no cell runs ahead, "
	}
	add(p.s("Start and stay with it. Check it after five minutes and then every quarter of an hour: the current is as set, ").s(watch).s("the pack is at most warm.").end())
	add(w.ending(p))
	return out
}

func (w *work) severalCells() bool {
	return w.q.Pack.Chemistry.Lithium() && w.q.Pack.CellsSeries > 1
}

// first is what to do before connecting where the start is not known.
func (w *work) first(p *pen) string {
	if w.model.From != spec.FromAssumedEmpty {
		return ""
	}
	c := w.facts.Chemistry
	if c.Curve == nil {
		return p.s("Empty the pack first, to ").n(c.LoadedFloor.Value).s(" V a cell under a light load: this plan takes it as empty, and nothing but the clock and the charge count would notice if it were not.").end()
	}
	return p.s("Measure every cell first. If one rests below ").n(c.SafeStartV.Value).s(" V, do not use this plan: ask again with the cell voltages.").end()
}

func (w *work) connect(p *pen) string {
	n := w.q.Pack.CellsSeries
	from := "Connect the main lead to the charger"
	if len(w.boardPacks()) > 0 {
		p.s("Measure every cell of every pack once more, then join the packs on the board: main leads first, then balance leads. ")
		from = "Connect the board's main lead to the charger"
	}
	switch {
	case !w.q.Pack.Chemistry.Lithium() || w.q.Charger.Balance == spec.BalanceNone:
		return p.s(from).s(", plus to plus and minus to minus.").end()
	case w.q.Charger.Balance == spec.BalanceLeadOnly:
		return p.s("Connect the balance lead (").i(n + 1).s(" wires for ").i(n).s(cells(n)).s("); the charge goes through it.").end()
	case n == 1:
		return p.s(from).s(", then the balance lead if the pack has one.").end()
	}
	return p.s(from).s(", then the balance lead (").i(n + 1).s(" wires for ").i(n).s(cells(n)).s(").").end()
}

// boardPacks are the other packs on a parallel board.
func (w *work) boardPacks() []spec.Pack {
	if w.q.Surroundings == nil {
		return nil
	}
	return w.q.Surroundings.ParallelBoard
}

func cells(n int) string {
	if n == 1 {
		return " cell"
	}
	return " cells"
}

func (w *work) chooseProgram(p *pen) string {
	p.s("Choose the program for ").s(spoken(w.q.Pack.Chemistry))
	switch {
	case w.balanced():
		p.s(", with balancing")
	case w.severalCells():
		p.s("; this charger does not balance, so check every cell by hand")
	}
	return p.s(".").end()
}

// spoken is a chemistry's name as people say it.
func spoken(c spec.Chemistry) string {
	switch c {
	case spec.LiPo:
		return "lithium polymer (4.2 V a cell)"
	case spec.LiHV:
		return "high-voltage lithium polymer (4.35 V a cell)"
	case spec.LiIon:
		return "lithium ion (4.2 V a cell)"
	case spec.LiFePO4:
		return "lithium iron phosphate (3.65 V a cell)"
	}
	return "nickel-metal hydride"
}

func (w *work) countCells(p *pen) string {
	n := w.q.Pack.CellsSeries
	switch w.q.Charger.CellCount {
	case spec.CellCountDetected:
		p.s("Check that the charger finds ").i(n).s(cells(n))
	case spec.CellCountByPort:
		p.s("Use the socket for ").i(n).s(cells(n))
	default:
		p.s("Set ").i(n).s(cells(n)).s(" in series, and check that the charger shows ").i(n)
	}
	nominal := float64(n) * w.facts.Chemistry.NominalV.Value
	if v := w.q.Pack.NominalVoltageV; v != nil {
		nominal = *v
	}
	return p.s("; the pack's nominal voltage is ").n(nominal).s(" V.").end()
}

func (w *work) setCurrent(p *pen) string {
	s := w.plan.Settings
	switch {
	case s.RecoveryCurrentA != nil:
		p.s("Begin at ").n(*s.RecoveryCurrentA).s(" A until every cell rests at ").n(w.facts.Chemistry.SafeStartV.Value).s(" V or more, and give the pack up if a cell lags or warms. Then set")
	case w.limits.fixed:
		p.s("The charge current is fixed at ").n(s.CurrentA).s(" A")
		if w.limits.heldBack {
			p.s("; the charger's power holds it to less")
		}
		return p.s(".").end()
	default:
		p.s("Set")
	}
	return p.s(" the charge current to ").n(s.CurrentA).s(" A.").end()
}

func (w *work) endOfLithium(p *pen) string {
	s := w.plan.Settings
	if *s.EndVoltagePerCellV < w.facts.Chemistry.FullV.Value {
		p.s("Set the end-of-charge voltage to ").n(*s.EndVoltagePerCellV).s(" V a cell, ").n(*s.EndVoltageV).s(" V in all, and check")
	} else {
		p.s("Check that the charger ends at ").n(*s.EndVoltageV).s(" V, which is ").n(*s.EndVoltagePerCellV).s(" V a cell, and")
	}
	p.s(" that it stops when the current has fallen to about ").about(*s.TaperCurrentA).s(" A")
	if w.severalCells() && !w.balanced() {
		p.s(". It sees only the sum of the cells: stop it by hand when the highest reaches ").n(*s.EndVoltagePerCellV).s(" V, as this plan assumes")
	}
	return p.s(".").end()
}

func (w *work) endOfNickel(p *pen) string {
	t := w.plan.Settings.Termination
	if t.Method == ByTime {
		return p.s("The clock ends this charge: the voltage drop cannot be seen at so low a current. Set the temperature cut-off to ").n(t.TemperatureCutoffDegC).s(" °C if the charger has one.").end()
	}
	p.s("Set the voltage drop that ends the charge to ").n(*t.VoltageDropPerCellMV).s(" mV a cell, ignored for the first ").n(*t.IgnoreFirstMin).s(" min, the temperature slope to ").about(*t.TemperatureSlopeKPerMin)
	return p.s(" °C a minute and the temperature cut-off to ").n(t.TemperatureCutoffDegC).s(" °C, as far as the charger has them.").end()
}

// ending is when to expect the end, in whole minutes.
func (w *work) ending(p *pen) string {
	whole := func(seconds float64) float64 { return math.Round(seconds / minute) }
	expected, low, high := whole(w.span.expected), whole(w.span.low), whole(w.span.high)
	p.s("Expect it to end after about ").n(expected).s(" min")
	if high > low {
		p.s(", between ").n(low).s(" and ").n(high)
	}
	if w.severalCells() {
		p.s(". Then check that the cells are within 10 mV of each other")
	}
	return p.s(". Disconnect the pack first, then the charger.").end()
}
