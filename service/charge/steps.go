package charge

import "github.com/wattkeel/wattkeel/service/spec"

// steps is the procedure at the bench, for this charger and this pack.
func (w *work) steps() []string {
	q, s, p := w.q, w.plan.Settings, w.pen
	out := make([]string, 0, 12)
	add := func(step string) { out = append(out, step) }

	add("Look the pack over for swelling, dents, cuts and damaged leads. If anything is wrong, do not charge it.")
	add("Put it in a fire-resistant bag or a vented metal box, on concrete, stone or tile, away from anything that burns and off the way out.")
	add(w.connect(p))
	program := p.s("Choose the ").s(string(s.Chemistry)).s(" program")
	switch {
	case s.Program == spec.ChargeBalanced:
		program.s(" with balancing.")
	case q.Pack.Chemistry.Lithium() && q.Pack.CellsSeries > 1:
		program.s("; this charger does not balance, so check every cell by hand.")
	default:
		program.s(".")
	}
	add(p.end())
	add(w.countCells(p))
	add(w.setCurrent(p))
	if t := s.Termination; t == nil {
		add(p.s("Check that the charger ends at ").n(*s.EndVoltageV).s(" V, which is ").n(*s.EndVoltagePerCellV).s(" V a cell.").end())
	} else if t.Method == ByVoltageDrop {
		add(p.s("Set the voltage drop that ends the charge to ").n(*t.VoltageDropPerCellMV).s(" mV a cell and the temperature cut-off to ").n(t.TemperatureCutoffDegC).s(" °C.").end())
	} else {
		add(p.s("The clock ends this charge: the voltage drop cannot be seen at so low a current. Set the temperature cut-off to ").n(t.TemperatureCutoffDegC).s(" °C if the charger has one.").end())
	}
	p.s("Set the charge cut-off to ").n(s.ChargeCutoffMAh).s(" mAh and the time limit to ").n(s.TimeLimitMin).s(" min")
	if timer := q.Charger.SafetyTimer; timer != nil && !*timer {
		p.s("; the charger has no timer, so set an alarm by hand")
	}
	add(p.s(".").end())
	watch := "no cell runs ahead, "
	if !q.Pack.Chemistry.Lithium() || q.Pack.CellsSeries == 1 {
		watch = ""
	}
	add(p.s("Start and stay with it. Look after five minutes and then every quarter of an hour: the current is as set, ").s(watch).s("the pack is at most warm.").end())
	p.s("Expect it to end after about ").about(w.span.expected / minute).s(" min")
	if w.span.high > w.span.low {
		p.s(", between ").about(w.span.low / minute).s(" and ").about(w.span.high / minute)
	}
	if q.Pack.Chemistry.Lithium() && q.Pack.CellsSeries > 1 {
		p.s(". Then check that the cells agree")
	}
	add(p.s(". Disconnect the pack first, then the charger.").end())
	return out
}

func (w *work) connect(p *pen) string {
	n := w.q.Pack.CellsSeries
	if len(w.boardPacks()) > 0 {
		p.s("Measure every cell of every pack once more, then join the packs on the board: main leads first, then balance leads. ")
	}
	switch {
	case !w.q.Pack.Chemistry.Lithium() || w.q.Charger.Balance == spec.BalanceNone:
		return p.s("Connect the main lead to the charger, plus to plus and minus to minus.").end()
	case w.q.Charger.Balance == spec.BalanceLeadOnly:
		return p.s("Connect the balance lead (").i(n + 1).s(" wires for ").i(n).s(cells(n)).s("); the charge goes through it.").end()
	case n == 1:
		return p.s("Connect the main lead to the charger, then the balance lead if the pack has one.").end()
	}
	return p.s("Connect the main lead to the charger, then the balance lead (").i(n + 1).s(" wires for ").i(n).s(cells(n)).s(").").end()
}

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
	return p.s("; the pack's nominal voltage is ").n(float64(n) * w.facts.Chemistry.NominalV.Value).s(" V.").end()
}

func (w *work) setCurrent(p *pen) string {
	s := w.plan.Settings
	if s.RecoveryCurrentA != nil {
		p.s("Begin at ").n(*s.RecoveryCurrentA).s(" A until every cell rests at ").n(w.facts.Chemistry.SafeStartV.Value).s(" V or more, and give the pack up if a cell lags or warms. Then set")
	} else if w.limits.fixed {
		return p.s("The charge current is fixed at ").n(s.CurrentA).s(" A.").end()
	} else {
		p.s("Set")
	}
	return p.s(" the charge current to ").n(s.CurrentA).s(" A.").end()
}
