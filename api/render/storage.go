package render

import (
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

// StoragePlanText is a storage plan as plain text: what to do with the pack first,
// and why; then how far, what to set and how long it takes, other ways, what lying
// costs it, and the steps. A stop has what is wrong and what to do about it, and
// nothing to set.
func StoragePlanText(a *storage.Plan) ([]byte, error) {
	p := newPage()
	supersede, cautions := first(a.Cautions)
	careful := a.Verdict == spec.VerdictCaution
	p.verdict(a.Verdict)
	if a.Verdict == spec.VerdictStop {
		p.s("neither charge nor discharge this pack. Below is what is wrong and what to do about it. There are no settings.").para()
		p.findings("What is wrong", a.Findings)
		p.notEvaluated(a.NotEvaluated)
		return p.end(supersede, a.PlanID, &a.Versions), nil
	}
	switch a.Action {
	case storage.Leave:
		p.s("leave it.")
	case storage.Charge:
		p.s("charge it to storage charge.")
	case storage.Discharge:
		p.s("discharge it to storage charge.")
	}
	p.s(" Why: ").s(a.Because).stop()
	if a.Action != storage.Leave && a.Settings == nil {
		p.s(" There are no settings for a charger; the steps say why.")
	}
	if careful {
		p.s(" Read the ").count(a.Findings, spec.Caution).s(" below first.")
	}
	p.para()
	if careful {
		p.findings("Findings", a.Findings)
	}
	p.howFar(a)
	if a.Settings != nil {
		p.storageSettings(a)
	}
	p.otherWays(a.Alternatives)
	if a.Action != storage.Charge { // what an empty pack risks is not calendar ageing, and the figures would belie it
		p.ageing(a.Ageing)
	}
	p.steps(a.Steps)
	p.list("Watch for", cautions)
	if !careful {
		p.findings("Findings", a.Findings)
	}
	p.assumed(a.Assumed)
	p.notEvaluated(a.NotEvaluated)
	return p.end(supersede, a.PlanID, &a.Versions), nil
}

// howFar says how full the pack is, how full it is to be, and what lies between.
func (p *page) howFar(a *storage.Plan) {
	p.heading("How far")
	p.s("Now: ").about(a.Start.ChargePercent).s(" % of its charge")
	switch a.Start.From {
	case spec.FromCellVoltages, spec.FromPackVoltage:
		p.s(", read off its voltage")
	case spec.FromAssumedAny:
		p.s("; it is taken as full, because nothing tells its charge")
	}
	p.stop().item()
	p.s("Storage charge: ").about(a.TargetChargePercent).s(" %")
	if a.TargetCellVoltageV != nil {
		p.s(", at which a cell rests at ").n(*a.TargetCellVoltageV).s(" V")
	}
	p.s("; from ").about(a.LeaveFromPercent).s(" to ").about(a.LeaveToPercent).s(" % it can stay as it is.").item()
	if a.ChargeMAh == nil {
		return
	}
	if a.Action == storage.Charge {
		p.s("To put in: about ").about(*a.ChargeMAh).s(" mAh")
	} else {
		p.s("To take out: about ").about(*a.ChargeMAh).s(" mAh")
	}
	p.stop().item()
}

// storageSettings says what to set on the charger, how long it takes, what limits
// the current, and what to expect.
func (p *page) storageSettings(a *storage.Plan) {
	s := a.Settings
	p.heading("Settings")
	p.s("Program: ")
	switch {
	case s.Program == storage.ChargeBalanced:
		p.s("charge with balancing")
	case s.Program == storage.ChargeUnbalanced && s.CellsSeries > 1:
		p.s("charge without balancing")
	case s.Program == storage.ChargeUnbalanced:
		p.s("charge")
	default:
		p.word(string(s.Program))
	}
	p.item()
	p.pack(s.Chemistry, s.CellsSeries)
	p.current(s.CurrentA, s.CurrentCRate, s.RecoveryCurrentA)
	if s.PowerW != nil {
		p.s("Power: the charger holds the discharge to ").n(*s.PowerW).s(" W by itself").item()
	}
	switch s.Program {
	case storage.StorageProgram:
		p.s("Storage voltage: ")
	case storage.DischargeProgram:
		p.s("Voltage to stop at, under load: ")
	default:
		p.s("End voltage: ")
	}
	p.voltage(s.EndVoltagePerCellV, s.EndVoltageV, s.CellsSeries)
	if s.TaperCurrentA != nil {
		p.s("End current: about ").about(*s.TaperCurrentA).s(" A, should it come to the end voltage before the charge cut-off").item()
	}
	p.cutoffs(s.ChargeCutoffMAh, s.TimeLimitMin)
	if a.Duration != nil {
		p.heading("Time")
		p.s("About ").between(a.Duration).stop().narrower(a.Duration.Drivers).under()
	}
	limits := make([]limit, len(a.Limits))
	for i, l := range a.Limits {
		limits[i] = limit{l.CurrentA, l.Because, l.Binding}
	}
	p.limits(limits)
	p.whileItLasts(a)
}

// whileItLasts says what happens on the way.
func (p *page) whileItLasts(a *storage.Plan) {
	p.heading("What to expect")
	p.s("Course: ")
	for i := range a.Phases {
		if i > 0 {
			p.s(", then ")
		}
		p.span(a.Phases[i].DurationMin)
		switch a.Phases[i].Kind {
		case storage.Recovery:
			p.s(" at the low current to begin with")
		case storage.ConstantCurrent:
			p.s(" at the current that is set")
		case storage.PowerLimited:
			p.s(" at as much current as the power allows")
		case storage.ConstantVoltage:
			p.s(" at the end voltage while the current falls")
		case storage.BalancingPhase:
			p.s(" of balancing")
		}
	}
	p.stop().item()
	if a.LoadedStopVoltageV != nil && a.ReboundV != nil {
		p.s("When enough is out, a cell shows about ").about(*a.LoadedStopVoltageV).s(" V under the discharge; after it, it rises by about ").about(*a.ReboundV).s(" V.").item()
	}
	if a.LeftUndoneMAh != nil && *a.LeftUndoneMAh > 0 {
		p.s("A charger that stops when the cells show the target under load leaves about ").about(*a.LeftUndoneMAh).s(" mAh too much in the pack.").item()
	}
	if b := a.Balancing; b != nil && b.RemainingSpreadMV >= farApart {
		p.s("The cells end ").about(b.RemainingSpreadMV).s(" mV apart.").item()
	}
}

// otherWays lists the ways without the charger.
func (p *page) otherWays(list []storage.Alternative) {
	if len(list) == 0 {
		return
	}
	p.heading("Other ways")
	for i := range list {
		p.s(list[i].Says).stop()
		switch x := &list[i]; {
		case x.Run != nil:
			p.s(" It takes between ").span(x.Run.LowMin).s(" and ").span(x.Run.HighMin).stop()
		case x.Resistor != nil:
			p.s(" It takes between ").span(x.Resistor.LowMin).s(" and ").span(x.Resistor.HighMin).stop()
			for _, c := range x.Resistor.Cautions {
				p.s(" ").s(c).stop()
			}
		case x.Wait != nil:
			p.s(" It takes between ").days(x.Wait.LowDays).s(" and ").days(x.Wait.HighDays).stop()
		}
		p.item()
	}
}

// ageing says what the pack loses for good while it lies.
func (p *page) ageing(a *storage.Ageing) {
	if a == nil {
		return
	}
	p.heading("What lying costs it")
	p.s("In ").days(a.IdleDays).s(" at ").about(a.AmbientDegC).s(" °C it loses of its capacity, for good:").under()
	for _, l := range []struct {
		as   string
		loss *storage.Loss
	}{{"as it is", &a.AsItStands}, {"at storage charge", &a.AtStorageCharge}} {
		p.s(l.as).s(": about ").about(l.loss.ExpectedPercent).s(" %, between ").about(l.loss.LowPercent).s(" and ").about(l.loss.HighPercent).s(" %").item()
	}
	p.s(a.Says).under()
}
