package storage

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// benchSteps is the procedure on the charger.
func (w *work) benchSteps(add func(string)) {
	s, c, n := w.plan.Settings, w.q.Charger, w.q.Pack.CellsSeries
	count := strconv.Itoa(n) + cells(n)
	add("Look the pack over for swelling, dents, cuts and damaged leads. If anything is wrong, do not connect it.")
	add("Put it in a fire-resistant bag or a vented metal box, on concrete, stone or tile, away from anything that burns and off the way out.")
	wires := "the balance lead (" + strconv.Itoa(n+1) + " wires for " + count + ")"
	switch {
	case c.Balance == spec.BalanceLeadOnly:
		add("Connect " + wires + "; the current goes through it.")
	case c.Balance == spec.BalanceNone || n == 1:
		add("Connect the main lead to the charger, plus to plus and minus to minus.")
	default:
		add("Connect the main lead to the charger, then " + wires + ".")
	}
	add("Choose the program for " + string(s.Chemistry) + ": " + programWords(s.Program) + ". Check that the charger shows " + count + ".")
	if s.RecoveryCurrentA != nil {
		add("Begin at " + spec.Plain(*s.RecoveryCurrentA) + " A until every cell rests at " + spec.Plain(w.chem.SafeStartV.Value) + " V or more, and give the pack up if a cell lags or warms.")
	}
	set := "Set the current to " + spec.Plain(s.CurrentA) + " A"
	if s.PowerW != nil {
		set += "; the charger's " + spec.Plain(*s.PowerW) + " W hold it to less"
		if len(w.plan.Phases) > 1 && w.plan.Phases[1].Kind == ConstantCurrent {
			set += " at first"
		}
	}
	add(set + ".")
	add(w.stopStep())
	ends := ", as far as the charger has them; where it has neither, set an alarm and stop it by hand."
	if w.plan.Action == Charge {
		ends = ". The count is what ends this charge: where the charger has no charge cut-off, stop it by hand after " + timeSpan(w.plan.Duration.ExpectedMin) + "."
	}
	add("Set the charge cut-off to " + spec.Plain(s.ChargeCutoffMAh) + " mAh and the time limit to " + spec.Plain(s.TimeLimitMin) + " min" + ends)
	d := w.plan.Duration
	ending := "Start and stay with it. Expect it to end after about " + timeSpan(d.ExpectedMin)
	if low, high := timeSpan(d.LowMin), timeSpan(d.HighMin); low != high {
		ending += ", between " + low + " and " + high
	}
	add(ending + ". Disconnect the pack first, then the charger.")
	if b := w.plan.Balancing; b != nil && b.RemainingSpreadMV >= apartMV {
		add("The cells will rest about " + whole(b.RemainingSpreadMV) + " mV apart: let a balancing charger bring them together on the next charge.")
	}
	w.loadNote(add)
}

// apartMV is the spread from which cells count as out of balance (the rule
// cells-out-of-balance).
const apartMV = 30

// stopStep says what to set the charger to end at.
func (w *work) stopStep() string {
	s, target := w.plan.Settings, spec.Plain(w.chem.StorageV.Value)
	switch s.Program {
	case DischargeProgram:
		return "Set the voltage to stop at to " + spec.Short3(s.EndVoltagePerCellV) + " V a cell, " + spec.Short3(s.EndVoltageV) + " V in all: under load the cells show less than they will rest at."
	case StorageProgram:
		return "If it stops when the cells show " + target + " V under load, it has stopped short: let the pack rest for ten minutes and start it again."
	}
	text := "Check that the charger would end at " + spec.Short3(s.EndVoltageV) + " V at the latest."
	if c := w.q.Charger; c.StorageProgram != nil && *c.StorageProgram {
		text = "A storage program that charges as well may be used in place of this: it ends at " + target + " V a cell by itself. Else check that the charger would end at " + spec.Short3(s.EndVoltageV) + " V at the latest."
	}
	return text
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
