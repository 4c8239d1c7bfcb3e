package storage

import (
	"math"

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
	out, p := make([]string, 0, 12), w.pen
	add := func(s string) { out = append(out, s) }
	switch {
	case w.plan.Action == Leave:
		w.leaveSteps(add)
		return out
	case w.model.From == spec.FromAssumedAny:
		add(p.S("Measure every cell first: this plan takes the pack as full. If the cells rest below ").N(w.chem.StorageV.Value).S(" V, charge it to storage charge instead; ask again with the cell voltages.").End())
	}
	switch {
	case w.plan.Settings == nil && w.plan.Action == Charge:
		add(p.S("Bring it to about ").About(w.plan.TargetChargePercent).S(" % on a charger for this chemistry: ask again with the charger for its settings.").End())
	case w.plan.Settings == nil:
		w.wayless(add)
	default:
		w.benchSteps(add)
	}
	add(p.S("Let it rest for an hour, then measure every cell: each should rest at about ").N(w.chem.StorageV.Value).S(" V. If one does not, repeat what is missing.").End())
	return out
}

func (w *work) leaveSteps(add func(string)) {
	add("Look the pack over for swelling, dents, cuts and damaged leads.")
	switch {
	case w.days <= weekDays:
		add("Leave it disconnected. If it is not used within a week after all, ask again with the longer time.")
	case w.chem.Curve == nil:
		add(w.nickelFalls("Leave it disconnected, and write the date on it. "))
	default:
		add("Leave it disconnected, and write the date on it.")
	}
}

// nickelFalls says, after what comes first, when a nimh pack should be charged
// again, and by what.
func (w *work) nickelFalls(first string) string {
	z := w.model.Groups[0].Charge.Expected
	const again = "Charge it fully every few months, and again before use."
	if w.model.From == spec.FromAssumedAny || z <= w.band.from {
		return first + again
	}
	days := math.Log(z/w.band.from) / w.chem.Leak.PerDay().Expected
	x, unit := longSpan(days)
	return w.pen.S(first).S("By itself it falls to ").About(w.band.from * 100).S(" % in about ").N(x).S(unit).S(". ").S(again).End()
}

// wayless is a discharge for which no charger here can be set.
func (w *work) wayless(add func(string)) {
	add(w.pen.S("This plan has no settings, because ").S(w.limits.noWay).S(". Use one of the alternatives.").End())
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
		add(w.pen.S("Do not run it down with the load given: it draws more than the ").About(w.shown.runMost).S(" A that this pack bears at storage charge.").End())
	}
}

// timeSpan is minutes as a person says them: a number and its unit.
func timeSpan(minutes float64) (x float64, unit string) {
	switch {
	case minutes < 1:
		return math.Round(minutes * 60), " s"
	case minutes < 10:
		return spec.RoundShort(minutes), " min"
	case minutes < 180:
		return math.Round(minutes), " min"
	}
	return spec.RoundShort(minutes / 60), " h"
}

// longSpan is days as a person says them.
func longSpan(days float64) (x float64, unit string) {
	switch {
	case days > 730:
		return spec.RoundShort(days / 365.25), " years"
	case days > 90:
		return math.Round(days * 12 / 365.25), " months"
	}
	return math.Round(days), " days"
}
