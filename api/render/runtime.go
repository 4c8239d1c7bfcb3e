package render

import (
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
)

// RuntimeEstimateText is a run-time estimate as plain text: how long, and what was
// found, first; then when to stop, what the load does to the pack, and what the
// figures rest on. They are a prediction, and are given whatever the verdict.
func RuntimeEstimateText(e *runtime.Estimate) ([]byte, error) {
	p := newPage()
	supersede, cautions := first(e.Cautions)
	p.verdict(e.Verdict)
	runs := e.Runtime.ExpectedMin > 0
	switch {
	case e.Verdict == spec.VerdictStop:
		p.s("do not run this load on this pack. Below is what is wrong and what to do about it. The figures say what would happen; they are no advice.")
	case runs:
		p.s("the pack runs this load for about ").between(&e.Runtime).stop()
	default:
		p.s("the pack does not run this load: it is at its end as soon as it begins.")
	}
	if e.Verdict == spec.VerdictCaution {
		p.s(" Read the ").count(e.Findings, spec.Caution).s(" below first.")
	}
	p.para()
	calm := e.Verdict != spec.VerdictStop && e.Verdict != spec.VerdictCaution
	if !calm {
		p.findings("Findings", e.Findings)
	}
	p.runTime(e, runs)
	p.load(e, runs)
	p.list("Watch for", cautions)
	if calm {
		p.findings("Findings", e.Findings)
	}
	p.assumed(e.Assumed)
	p.notEvaluated(e.NotEvaluated)
	return p.end(supersede, e.PlanID, &e.Versions), nil
}

// runTime says how long the pack lasts, what ends the run, and by what to notice.
func (p *page) runTime(e *runtime.Estimate, runs bool) {
	p.heading("How long")
	switch {
	case !runs:
		p.s("Run time: none; it ends as soon as it begins.").item()
	case e.Verdict == spec.VerdictStop: // of the others it has been said
		p.s("Run time: about ").between(&e.Runtime).stop().item()
	}
	p.s("The run ends ")
	switch e.StoppedBy {
	case runtime.ByCutoffVoltage:
		p.s("when the weakest cell is at the cut-off voltage under load.")
	case runtime.ByReserve:
		p.s("when no more than the reserve is left in the emptiest cell.")
	case runtime.ByTemperature:
		p.s("when the pack is as hot as it may get.")
	}
	p.item()
	if runs && e.Runtime.LowMin > 0 {
		p.s("By a timer: stop at the short end, after ").span(e.Runtime.LowMin).stop().item()
	}
	if e.AlarmCellVoltageV != nil {
		p.s("Low-voltage alarm: about ").about(*e.AlarmCellVoltageV).s(" V a cell, which is what the weakest cell shows under this load when it is time to stop.").item()
	}
	if runs && e.CyclesCompleted != nil {
		p.s("Whole cycles of the load: ").i(*e.CyclesCompleted).stop().item()
	}
	if e.PacksFor != nil {
		p.s("Packs for the session: ").i(*e.PacksFor).s(", each charged once")
		switch sure := e.PacksForSurely; {
		case sure == nil:
			p.s("; at the short end no number is enough")
		case *sure > *e.PacksFor:
			p.s("; ").i(*sure).s(" are enough even at the short end")
		}
		p.stop().item()
	}
	if runs {
		p.narrower(e.Runtime.Drivers).item()
	}
}

// load says what the load takes from the pack and does to it.
func (p *page) load(e *runtime.Estimate, runs bool) {
	p.heading("What the load does to the pack")
	p.s("At the start the pack holds ").about(e.Start.ChargePercent).s(" % of its charge")
	switch e.Start.From {
	case spec.FromCellVoltages, spec.FromPackVoltage:
		p.s(", read off its voltage")
	case spec.FromAssumedFull:
		p.s("; it is taken as just charged, because nothing tells its charge")
	}
	p.stop().item()
	if runs {
		p.s("The run draws about ").about(e.UsableMAh).s(" mAh and gives the load ").about(e.EnergyWh).s(" Wh.").item()
	}
	p.s("Current: ")
	if runs {
		p.about(e.MeanCurrentA).s(" A in the mean, ")
	}
	p.about(e.PeakCurrentA).s(" A (").about(e.PeakCRate).s(" C) at its peak.").item()
	if e.LowestCellV > 0 {
		p.s("Voltage: the weakest cell falls to ").about(e.LowestCellV).s(" V, the pack to ").about(e.LowestVoltageV).s(" V")
		if e.SagV != nil {
			p.s("; under load the pack shows about ").about(*e.SagV).s(" V less than at rest")
		}
	} else {
		p.s("Voltage: the load pulls the weakest cell down to nothing")
	}
	p.stop().item()
	if e.LeadDropV != nil {
		p.s("Main lead: at the peak it takes ").about(*e.LeadDropV).s(" V, which the load does not get.").item()
	}
	if !runs {
		return
	}
	t := &e.Temperature
	p.s("Heat: the pack is at ").about(t.StartDegC).s(" °C when it begins, and at ").about(t.PeakDegC).s(" °C when it is warmest; wrapped up, it could get to ").about(t.AdiabaticDegC).s(" °C.").item()
}
