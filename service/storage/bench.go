package storage

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// benchSteps is the procedure on the charger.
func (w *work) benchSteps(add func(string)) {
	s, p := w.plan.Settings, w.pen
	n := w.q.Pack.CellsSeries
	add("Look the pack over for swelling, dents, cuts and damaged leads. If anything is wrong, do not connect it.")
	add("Put it in a fire-resistant bag or a vented metal box, on concrete, stone or tile, away from anything that burns and off the way out.")
	add(w.connect())
	add(p.S("Choose the program for ").S(string(s.Chemistry)).S(": ").S(programWords(s.Program)).S(". Check that the charger shows ").I(n).S(cells(n)).S(".").End())
	if s.RecoveryCurrentA != nil {
		add(p.S("Begin at ").N(*s.RecoveryCurrentA).S(" A until every cell rests at ").N(w.chem.SafeStartV.Value).S(" V or more, and give the pack up if a cell lags or warms.").End())
	}
	add(w.setCurrent())
	add(w.stopStep())
	p.S("Set the charge cut-off to ").N(s.ChargeCutoffMAh).S(" mAh and the time limit to ").N(s.TimeLimitMin).S(" min")
	if w.plan.Action == Charge {
		x, unit := timeSpan(w.plan.Duration.ExpectedMin)
		p.S(". The count is what ends this charge: where the charger has no charge cut-off, stop it by hand after ").N(x).S(unit).S(".")
	} else {
		p.S(", as far as the charger has them; where it has neither, set an alarm and stop it by hand.")
	}
	add(p.End())
	add(w.ending())
	if b := w.plan.Balancing; b != nil && b.RemainingSpreadMV >= apartMV {
		add(p.S("The cells will rest about ").N(math.Round(b.RemainingSpreadMV)).S(" mV apart: let a balancing charger bring them together on the next charge.").End())
	}
	w.loadNote(add)
}

func (w *work) connect() string {
	p, c, n := w.pen, w.q.Charger, w.q.Pack.CellsSeries
	switch {
	case c.Balance == spec.BalanceLeadOnly:
		return p.S("Connect ").S(balanceLead).I(n + 1).S(" wires for ").I(n).S(cells(n)).S("); the current goes through it.").End()
	case c.Balance == spec.BalanceNone || n == 1:
		return "Connect the main lead to the charger, plus to plus and minus to minus."
	}
	return p.S("Connect the main lead to the charger, then ").S(balanceLead).I(n + 1).S(" wires for ").I(n).S(cells(n)).S(").").End()
}

const balanceLead = "the balance lead ("

func (w *work) setCurrent() string {
	s, p := w.plan.Settings, w.pen
	if s.PowerW == nil {
		return p.S("Set the current to ").N(s.CurrentA).S(" A.").End()
	}
	p.S("Set the current to ").N(*s.MaxCurrentA).S(" A; the charger's ").N(*s.PowerW).S(" W hold it to less")
	if len(w.plan.Phases) > 1 && w.plan.Phases[1].Kind == ConstantCurrent {
		p.S(" at first")
	}
	return p.S(".").End()
}

// ending is when to expect the end.
func (w *work) ending() string {
	p, d := w.pen, w.plan.Duration
	expected, unit := timeSpan(d.ExpectedMin)
	p.S("Start and stay with it. Expect it to end after about ").N(expected).S(unit)
	low, lowUnit := timeSpan(d.LowMin)
	high, highUnit := timeSpan(d.HighMin)
	if low != high || lowUnit != highUnit {
		p.S(", between ").N(low).S(lowUnit).S(" and ").N(high).S(highUnit)
	}
	return p.S(". Disconnect the pack first, then the charger.").End()
}

// apartMV is the spread from which cells count as out of balance (the rule
// cells-out-of-balance).
const apartMV = 30

// stopStep says what to set the charger to end at.
func (w *work) stopStep() string {
	s, p, target := w.plan.Settings, w.pen, w.chem.StorageV.Value
	switch s.Program {
	case DischargeProgram:
		return p.S("Set the voltage to stop at to ").Volts(s.EndVoltagePerCellV).S(" V a cell, ").Volts(s.EndVoltageV).S(" V in all: under load the cells show less than they will rest at.").End()
	case StorageProgram:
		return p.S("If it stops when the cells show ").N(target).S(" V under load, it has stopped short: let the pack rest for ten minutes and start it again.").End()
	}
	check := "Check"
	if c := w.q.Charger; c.StorageProgram != nil && *c.StorageProgram {
		p.S("A storage program that charges as well may be used in place of this: it ends at ").N(target).S(" V a cell by itself. ")
		check = "Else check"
	}
	return p.S(check).S(" that the charger would end at ").Volts(s.EndVoltageV).S(" V at the latest.").End()
}

func programWords(p Program) string {
	switch p {
	case StorageProgram:
		return "storage"
	case DischargeProgram:
		return "discharge"
	case ChargeBalanced:
		return "charge, with balancing"
	}
	return "charge, without balancing"
}

func cells(n int) string {
	if n == 1 {
		return " cell"
	}
	return " cells"
}
