package storage

import (
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// chargeUp takes a charge plan that ends by count over. The charger goes on at its
// own end voltage, which is far above: the charge that is counted is what brings
// the cells to rest at storage charge, while at an end voltage of 3.8 V the
// current would fall off for hours and the cells still rest below.
func (w *work) chargeUp() {
	q := w.q
	c := w.pl.charge.ToStorage(&charge.Request{
		Pack: q.Pack, Charger: *q.Charger, Surroundings: q.Surroundings, CurvePoints: q.CurvePoints, AsOf: q.AsOf,
	}, w.explaining)
	w.charged = c
	p := w.plan
	p.Verdict, p.Findings, p.NotEvaluated = c.Verdict, c.Findings, c.NotEvaluated
	p.Assumed = w.chargeAssumed(c.Assumed)
	if p.Verdict == spec.VerdictStop {
		return
	}
	p.ChargeMAh, p.EnergyWh, p.StoredWh, p.HeatWh, p.Duration = c.ChargeMAh, c.EnergyWh, c.StoredWh, c.HeatWh, c.Duration
	s, n := c.Settings, &numbers{}
	n.settings = Settings{
		Program: Program(s.Program), Chemistry: s.Chemistry, CellsSeries: s.CellsSeries,
		CurrentA: s.CurrentA, CurrentCRate: s.CurrentCRate, RecoveryCurrentA: s.RecoveryCurrentA,
		EndVoltagePerCellV: *s.EndVoltagePerCellV, EndVoltageV: *s.EndVoltageV, TaperCurrentA: s.TaperCurrentA,
		ChargeCutoffMAh: roundUp(*c.ChargeMAh, cutoffStepMAh), TimeLimitMin: s.TimeLimitMin,
	}
	p.Settings = &n.settings
	p.Limits, p.Phases = make([]Limit, 0, len(c.Limits)), make([]Phase, 0, len(c.Phases))
	for _, l := range c.Limits {
		p.Limits = append(p.Limits, Limit{Name: LimitName(l.Name), CurrentA: l.CurrentA, Binding: l.Binding, Because: l.Because})
	}
	for _, x := range c.Phases {
		p.Phases = append(p.Phases, Phase{
			Kind: PhaseKind(x.Kind), DurationMin: x.DurationMin, ChargeMAh: x.ChargeMAh,
			StartCurrentA: x.StartCurrentA, EndCurrentA: x.EndCurrentA, StartVoltageV: *x.StartVoltageV, EndVoltageV: *x.EndVoltageV,
			StartChargePercent: x.StartChargePercent, EndChargePercent: x.EndChargePercent,
		})
	}
	if b := c.Balancing; b != nil {
		n.balancing = Balancing{TimeMin: b.TimeMin, BypassedMAh: b.BypassedMAh, BypassedWh: b.BypassedWh, RemainingSpreadMV: b.RemainingSpreadMV}
		p.Balancing = &n.balancing
	}
	if len(c.Curve) > 0 {
		p.Curve = make([]Point, 0, len(c.Curve))
	}
	for _, x := range c.Curve {
		p.Curve = append(p.Curve, Point{
			TS: x.TS, CurrentA: x.CurrentA, PackVoltageV: *x.PackVoltageV,
			HighestCellV: *x.HighestCellV, LowestCellV: *x.LowestCellV, ChargePercent: x.ChargePercent,
		})
	}
}

// chargeAssumed is what the charge plan assumed, but for what a storage plan does
// not ask for, and how long the pack is left.
func (w *work) chargeAssumed(list []spec.Assumed) []spec.Assumed {
	kept := make([]spec.Assumed, 0, len(list)+1)
	for _, a := range list {
		if a.Field != "/goal/pace" && a.Field != "/taper_c_rate" {
			kept = append(kept, a)
		}
	}
	if w.q.IdleDays == nil {
		kept = append(kept, w.idleAssumed())
	}
	return kept
}
