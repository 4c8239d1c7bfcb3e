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
	p.S("Set the charge cut-off to ").N(s.ChargeCutoffMAh).S(" mAh and the time limit to ").N(s.TimeLimitMin).S(" min")
	if timer := w.q.Charger.SafetyTimer; timer != nil && !*timer {
		p.S("; the charger has no timer, so set an alarm by hand")
	}
	add(p.S(".").End())
	watch := ""
	if w.severalCells() {
		watch = "no cell runs ahead, "
	}
	add(p.S("Start and stay with it. Check it after five minutes and then every quarter of an hour: the current is as set, ").S(watch).S("the pack is at most warm.").End())
	add(w.ending(p))
	return out
}

func (w *work) severalCells() bool {
	return w.q.Pack.Chemistry.Lithium() && w.q.Pack.CellsSeries > 1
}

// first is what to do before connecting where the start is not known.
func (w *work) first(p *spec.Pen) string {
	if w.model.From != spec.FromAssumedEmpty {
		return ""
	}
	c := w.facts.Chemistry
	if c.Curve == nil {
		return p.S("Empty the pack first, to ").N(c.LoadedFloor.Value).S(" V a cell under a light load: this plan takes it as empty, and nothing but the clock and the charge count would notice if it were not.").End()
	}
	return p.S("Measure every cell first. If one rests below ").N(c.SafeStartV.Value).S(" V, do not use this plan: ask again with the cell voltages.").End()
}

func (w *work) connect(p *spec.Pen) string {
	n := w.q.Pack.CellsSeries
	from := "Connect the main lead to the charger"
	if len(w.boardPacks()) > 0 {
		p.S("Measure every cell of every pack once more, then join the packs on the board: main leads first, then balance leads. ")
		from = "Connect the board's main lead to the charger"
	}
	switch {
	case !w.q.Pack.Chemistry.Lithium() || w.q.Charger.Balance == spec.BalanceNone:
		return p.S(from).S(", plus to plus and minus to minus.").End()
	case w.q.Charger.Balance == spec.BalanceLeadOnly:
		return p.S("Connect the balance lead (").I(n + 1).S(" wires for ").I(n).S(cells(n)).S("); the charge goes through it.").End()
	case n == 1:
		return p.S(from).S(", then the balance lead if the pack has one.").End()
	}
	return p.S(from).S(", then the balance lead (").I(n + 1).S(" wires for ").I(n).S(cells(n)).S(").").End()
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

func (w *work) chooseProgram(p *spec.Pen) string {
	p.S("Choose the program for ").S(spoken(w.q.Pack.Chemistry))
	switch {
	case w.balanced():
		p.S(", with balancing")
	case w.severalCells():
		p.S("; this charger does not balance, so check every cell by hand")
	}
	return p.S(".").End()
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

func (w *work) countCells(p *spec.Pen) string {
	n := w.q.Pack.CellsSeries
	switch w.q.Charger.CellCount {
	case spec.CellCountDetected:
		p.S("Check that the charger finds ").I(n).S(cells(n))
	case spec.CellCountByPort:
		p.S("Use the socket for ").I(n).S(cells(n))
	default:
		p.S("Set ").I(n).S(cells(n)).S(" in series, and check that the charger shows ").I(n)
	}
	nominal := float64(n) * w.facts.Chemistry.NominalV.Value
	if v := w.q.Pack.NominalVoltageV; v != nil {
		nominal = *v
	}
	return p.S("; the pack's nominal voltage is ").N(nominal).S(" V.").End()
}

func (w *work) setCurrent(p *spec.Pen) string {
	s := w.plan.Settings
	switch {
	case s.RecoveryCurrentA != nil:
		p.S("Begin at ").N(*s.RecoveryCurrentA).S(" A until every cell rests at ").N(w.facts.Chemistry.SafeStartV.Value).S(" V or more, and give the pack up if a cell lags or warms. Then set")
	case w.limits.fixed:
		p.S("The charge current is fixed at ").N(s.CurrentA).S(" A")
		if w.limits.heldBack {
			p.S("; the charger's power holds it to less")
		}
		return p.S(".").End()
	default:
		p.S("Set")
	}
	return p.S(" the charge current to ").N(s.CurrentA).S(" A.").End()
}

func (w *work) endOfLithium(p *spec.Pen) string {
	s := w.plan.Settings
	if *s.EndVoltagePerCellV < w.facts.Chemistry.FullV.Value {
		p.S("Set the end-of-charge voltage to ").N(*s.EndVoltagePerCellV).S(" V a cell, ").N(*s.EndVoltageV).S(" V in all, and check")
	} else {
		p.S("Check that the charger ends at ").N(*s.EndVoltageV).S(" V, which is ").N(*s.EndVoltagePerCellV).S(" V a cell, and")
	}
	p.S(" that it stops when the current has fallen to about ").About(*s.TaperCurrentA).S(" A")
	if w.severalCells() && !w.balanced() {
		p.S(". It sees only the sum of the cells: stop it by hand when the highest reaches ").N(*s.EndVoltagePerCellV).S(" V, as this plan assumes")
	}
	return p.S(".").End()
}

func (w *work) endOfNickel(p *spec.Pen) string {
	t := w.plan.Settings.Termination
	if t.Method == ByTime {
		return p.S("The clock ends this charge: the voltage drop cannot be seen at so low a current. Set the temperature cut-off to ").N(t.TemperatureCutoffDegC).S(" °C if the charger has one.").End()
	}
	p.S("Set the voltage drop that ends the charge to ").N(*t.VoltageDropPerCellMV).S(" mV a cell, ignored for the first ").N(*t.IgnoreFirstMin).S(" min, the temperature slope to ").About(*t.TemperatureSlopeKPerMin)
	return p.S(" °C a minute and the temperature cut-off to ").N(t.TemperatureCutoffDegC).S(" °C, as far as the charger has them.").End()
}

// ending is when to expect the end, in whole minutes.
func (w *work) ending(p *spec.Pen) string {
	whole := func(seconds float64) float64 { return math.Round(seconds / minute) }
	expected, low, high := whole(w.span.expected), whole(w.span.low), whole(w.span.high)
	p.S("Expect it to end after about ").N(expected).S(" min")
	if high > low {
		p.S(", between ").N(low).S(" and ").N(high)
	}
	if w.severalCells() {
		p.S(". Then check that the cells are within 10 mV of each other")
	}
	return p.S(". Disconnect the pack first, then the charger.").End()
}
