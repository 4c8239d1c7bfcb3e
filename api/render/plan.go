package render

import (
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// ChargePlanText is a charge plan as plain text: the verdict first; then, unless
// that is stop, what to set and why, how long it takes, and what to do in which
// order. A stop has what is wrong and what to do about it, and nothing to set.
func ChargePlanText(c *charge.Plan) ([]byte, error) {
	p := newPage()
	supersede, cautions := first(c.Cautions)
	bare := c.Verdict == spec.VerdictStop || c.Settings == nil
	idle := c.ChargeMAh != nil && *c.ChargeMAh == 0
	careful := c.Verdict == spec.VerdictCaution
	switch p.verdict(c.Verdict); {
	case bare:
		p.s("do not charge. Below is what is wrong and what to do about it. There are no settings.")
	case idle:
		p.s("there is nothing to charge. Leave the pack as it is.")
	case careful:
		p.s("this pack can be charged as follows, with care.")
	default:
		p.s("this pack can be charged as follows. Nothing that could be judged speaks against it.")
	}
	if careful {
		p.s(" Read the ").count(c.Findings, spec.Caution).s(" below first.")
	}
	p.para()
	if bare {
		p.findings("What is wrong", c.Findings)
		p.notEvaluated(c.NotEvaluated)
		return p.end(supersede, c.PlanID, &c.Versions), nil
	}
	if careful {
		p.findings("Findings", c.Findings)
	}
	if !idle {
		p.chargeSettings(c.Settings)
		p.heading("Time")
		p.s("About ").between(c.Duration).stop().narrower(c.Duration.Drivers).under()
		limits := make([]limit, len(c.Limits))
		for i := range c.Limits {
			l := &c.Limits[i]
			limits[i] = limit{l.CurrentA, l.Because, l.Binding}
		}
		p.limits(limits)
		p.expected(c)
	}
	p.steps(c.Steps)
	p.list("Watch for", cautions)
	if !careful {
		p.findings("Findings", c.Findings)
	}
	p.assumed(c.Assumed)
	p.notEvaluated(c.NotEvaluated)
	return p.end(supersede, c.PlanID, &c.Versions), nil
}

// chargeSettings lists the settings in the order in which a charger asks for
// them.
func (p *page) chargeSettings(s *charge.Settings) {
	p.heading("Settings")
	p.s("Program: charge")
	switch {
	case s.Program == spec.ChargeBalanced:
		p.s(" with balancing")
	case s.CellsSeries > 1 && s.Chemistry.Lithium():
		p.s(" without balancing")
	}
	p.item()
	p.pack(s.Chemistry, s.CellsSeries)
	p.current(s.CurrentA, s.CurrentCRate, s.RecoveryCurrentA)
	if s.EndVoltageV != nil {
		p.s("End voltage: ").voltage(*s.EndVoltagePerCellV, *s.EndVoltageV, s.CellsSeries)
	}
	if s.TaperCurrentA != nil {
		p.s("End current: about ").about(*s.TaperCurrentA).s(" A; the charge ends when the current has fallen to it").item()
	}
	if s.Termination != nil {
		p.termination(s.Termination, s.CellsSeries)
	}
	p.cutoffs(s.ChargeCutoffMAh, s.TimeLimitMin)
}

// termination says how a nimh charge ends.
func (p *page) termination(t *charge.Termination, cells int) {
	if t.Method == charge.ByTime {
		p.s("Ends by: the time limit; the voltage does not tell").item()
	}
	if t.VoltageDropPerCellMV != nil && t.VoltageDropMV != nil {
		p.s("Voltage drop: ").n(*t.VoltageDropPerCellMV).s(" mV a cell")
		if cells > 1 {
			p.s(", ").n(*t.VoltageDropMV).s(" mV in all")
		}
		if t.IgnoreFirstMin != nil {
			p.s("; ignore it for the first ").n(*t.IgnoreFirstMin).s(" min")
		}
		p.item()
	}
	if t.TemperatureSlopeKPerMin != nil {
		p.s("Temperature slope: ").about(*t.TemperatureSlopeKPerMin).s(" °C a minute").item()
	}
	p.s("Temperature cut-off: ").n(t.TemperatureCutoffDegC).s(" °C").item()
}

// expected says what the charge does.
func (p *page) expected(c *charge.Plan) {
	p.heading("What to expect")
	last := &c.Phases[len(c.Phases)-1]
	p.s("The pack goes from ").about(c.Start.ChargePercent).s(" % to ").about(last.EndChargePercent).s(" % of its charge")
	switch c.Start.From {
	case spec.FromCellVoltages, spec.FromPackVoltage:
		p.s("; the start is read off its voltage")
	case spec.FromAssumedEmpty:
		p.s("; it is taken as empty, because nothing tells its charge")
	}
	p.stop().item()
	p.s("About ").about(*c.ChargeMAh).s(" mAh and ").about(*c.EnergyWh).s(" Wh go in, and about ").about(*c.WallEnergyWh).s(" Wh come from the wall")
	if c.WallCost != nil {
		p.s(", which costs ").about(*c.WallCost).s(" in the currency of the price given")
	}
	p.stop().item()
	p.s("Course: ")
	for i := range c.Phases {
		if i > 0 {
			p.s(", then ")
		}
		p.span(c.Phases[i].DurationMin).s(phase(c.Phases[i].Kind))
	}
	p.stop().item()
	if b := c.Balancing; b != nil && b.RemainingSpreadMV >= farApart {
		p.s("The cells end ").about(b.RemainingSpreadMV).s(" mV apart; the lowest is ").about(b.LeftOutMAh).s(" mAh short of the highest").stop().item()
	}
	t := c.Temperature
	p.s("The pack is at ").about(t.StartDegC).s(" °C when it begins, and at ").about(t.PeakDegC).s(" °C when it is warmest").stop().item()
}

// phase says what happens in a phase, behind its length.
func phase(k charge.PhaseKind) string {
	switch k {
	case charge.Recovery:
		return " at the low current to begin with"
	case charge.ConstantCurrent:
		return " at the current that is set"
	case charge.PowerLimited:
		return " at as much current as the power allows"
	case charge.ConstantVoltage:
		return " at the end voltage while the current falls"
	case charge.BalancingPhase:
		return " of balancing"
	}
	return ""
}
