package storage

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// cautions is what to watch.
func cautions(a Action) []string {
	list := []string{"The pack's and the charger's own instructions supersede this plan; so do local codes, and licensed practice where it applies."}
	switch a {
	case Charge:
		list = append(list,
			"Stay present and awake for the whole charge; never charge while sleeping or out.",
			"Charge in an enclosure that holds fire, on a hard surface that does not burn, away from anything that burns, off the way out, with a smoke alarm in the room.",
			"Stop at once on swelling, smell, smoke, hissing, a cell that runs ahead or lags, or a pack too hot to hold. Disconnect it only if that is safe; otherwise leave, close the door and call the fire service.",
		)
	case Discharge:
		list = append(list,
			"Stay present for the whole discharge, on a hard surface that does not burn, away from anything that burns.",
			"Stop at once on swelling, smell, smoke, a cell that falls behind the others, or a pack too hot to hold. Disconnect it only if that is safe; otherwise leave, close the door and call the fire service.",
			"Never discharge a cell below its storage charge in the hope of doing it good: a lithium cell that is run flat is ruined.",
		)
	}
	return append(list,
		"Store it disconnected from everything, an alarm or a meter too, in an enclosure that holds fire, at 5 to 20 °C, dry and out of the sun.",
		"Look at it and measure it every three months.",
	)
}

// steps is the procedure.
func (w *work) steps() []string {
	out := make([]string, 0, 10)
	add := func(s string) { out = append(out, s) }
	if w.model.From == spec.FromAssumedAny && w.chem.Curve != nil {
		add("Measure every cell first: this plan takes the pack as full. If the cells rest below " + spec.Plain(w.chem.StorageV.Value) + " V, charge it to storage charge instead; ask again with the cell voltages.")
	}
	switch {
	case w.plan.Action == Leave:
		w.leaveSteps(add)
	case w.plan.Settings == nil && w.plan.Action == Charge:
		add("Bring it to about " + spec.Short(w.plan.TargetChargePercent) + " % on a charger for this chemistry: ask again with the charger for its settings.")
	case w.plan.Settings == nil:
		w.wayless(add)
	default:
		w.benchSteps(add)
	}
	if w.plan.Action != Leave && w.chem.Curve != nil {
		add("Let it rest for an hour, then measure every cell: each should rest at about " + spec.Plain(w.chem.StorageV.Value) + " V. If one does not, repeat what is missing.")
	}
	return out
}

func (w *work) leaveSteps(add func(string)) {
	add("Look the pack over for swelling, dents, cuts and damaged leads.")
	if w.days <= weekDays && w.chem.Curve != nil {
		add("Leave it disconnected. If it is not used within a week, ask again with the longer time.")
		return
	}
	add("Leave it disconnected, and write the date on it.")
	if w.chem.Curve == nil {
		add("Charge it fully every few months, and again before use.")
	}
}

// wayless is a discharge for which no charger here can be set.
func (w *work) wayless(add func(string)) {
	why := w.limits.noWay
	add("This plan has no settings, because " + why + ". Use one of the alternatives.")
	c := w.q.Charger
	if c != nil && c.StorageProgram != nil && *c.StorageProgram && c.MaxDischargeCurrentA == nil && c.MaxDischargePowerW == nil {
		add("The charger has a storage program: its manual says at what current and power it discharges. Ask again with them to learn how long it takes.")
	}
	w.loadNote(add)
}

// loadNote says why the load given is not offered.
func (w *work) loadNote(add func(string)) {
	if w.shown.tooLittle {
		add("Do not run it down with the load given: it draws so little that it would take more than a day.")
	}
	if w.shown.tooMuch {
		add("Do not run it down with the load given: it draws more than the " + spec.Short(w.shown.runMost) + " A that this pack bears at storage charge.")
	}
}

func (w *work) benchSteps(add func(string)) {
	s, c, n := w.plan.Settings, w.q.Charger, w.q.Pack.CellsSeries
	add("Look the pack over for swelling, dents, cuts and damaged leads. If anything is wrong, do not connect it.")
	add("Put it on concrete, stone or tile, in a fire-resistant bag or a vented metal box, away from anything that burns and off the way out.")
	switch {
	case c.Balance == spec.BalanceLeadOnly:
		add("Connect the balance lead (" + strconv.Itoa(n+1) + " wires for " + strconv.Itoa(n) + cells(n) + "); the current goes through it.")
	case c.Balance == spec.BalanceNone || n == 1:
		add("Connect the main lead to the charger, plus to plus and minus to minus.")
	default:
		add("Connect the main lead to the charger, then the balance lead (" + strconv.Itoa(n+1) + " wires for " + strconv.Itoa(n) + cells(n) + ").")
	}
	add("Choose the program: " + programWords(s.Program) + ", for " + string(s.Chemistry) + ", and check that the charger shows " + strconv.Itoa(n) + cells(n) + ".")
	set := "Set the current to " + spec.Plain(s.CurrentA) + " A"
	if s.PowerW != nil {
		set += "; the charger's " + spec.Plain(*s.PowerW) + " W hold it to less at first"
	}
	add(set + ".")
	switch s.Program {
	case DischargeProgram:
		add("Set the voltage to stop at to " + spec.Short3(s.EndVoltagePerCellV) + " V a cell, " + spec.Short3(s.EndVoltageV) + " V in all: under load the cells show less than they will rest at.")
	case StorageProgram:
		add("If it stops when the cells show " + spec.Plain(w.chem.StorageV.Value) + " V under load, it has stopped short: let the pack rest for ten minutes and start it again.")
	}
	add("Set the charge cut-off to " + spec.Plain(s.ChargeCutoffMAh) + " mAh and the time limit to " + spec.Plain(s.TimeLimitMin) + " min, as far as the charger has them; where it has neither, set an alarm and stop it by hand.")
	d := w.plan.Duration
	ending := "Start and stay with it. Expect it to end after about " + span2(d.ExpectedMin)
	if d.HighMin > d.LowMin {
		ending += ", between " + span2(d.LowMin) + " and " + span2(d.HighMin)
	}
	add(ending + ". Disconnect the pack first, then the charger.")
	w.loadNote(add)
}

func programWords(p Program) string {
	switch p {
	case StorageProgram:
		return "storage"
	case DischargeProgram:
		return "discharge"
	case ChargeBalanced:
		return "charge with balancing"
	}
	return "charge without balancing"
}

func cells(n int) string {
	if n == 1 {
		return " cell"
	}
	return " cells"
}
