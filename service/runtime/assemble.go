package runtime

import (
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The answer is put together here and in span.go, and here alone are its numbers
// rounded: to 9 significant digits.

const minute, wattHour, milliampHour = 60.0, 3600.0, 3.6

func r9(x float64) *float64 {
	x = spec.Round9(x)
	return &x
}

func whole(x float64) *int {
	n := int(x)
	return &n
}

func (w *work) assemble() {
	o, r := w.out, &w.run0
	o.Verdict = spec.VerdictOf(o.Findings)
	o.Runtime = w.duration()
	o.StoppedBy = stoppedBy(r.Stop)
	if w.draw.Kind == sim.LoadCycle {
		o.CyclesCompleted = whole(r.Cycles)
	}
	if n := w.packsFor(r.Seconds); n > 0 {
		o.PacksFor = whole(n)
	}
	if n := w.packsFor(w.span.low); n > 0 {
		o.PacksForSurely = whole(n)
	}
	o.UsableMAh = spec.Round9(r.Coulombs / milliampHour)
	o.EnergyWh, o.HeatWh = spec.Round9(r.EnergyJ()/wattHour), spec.Round9(r.HeatJ/wattHour)
	o.MeanCurrentA = spec.Round9(w.meanA())
	o.PeakCurrentA = spec.Round9(w.peakA())
	o.PeakCRate = spec.Round9(w.peakA() / (w.model.RatedC / wattHour))
	if r.Coulombs > 0 {
		o.SagV = r9(r.HeatJ / r.Coulombs)
	}
	o.LowestVoltageV = spec.Round9(max(r.LowestPackV, 0))
	o.LowestCellV = spec.Round9(max(r.LowestCellV, 0))
	if v, known := w.leadDropV(); known {
		o.LeadDropV = r9(v)
	}
	if v, known := w.alarmV(); known {
		o.AlarmCellVoltageV = r9(v)
	}
	o.Temperature = w.temperature()
	o.Start = w.model.Start()
	o.Curve = w.curve()
	o.Assumed = slices.Clone(w.model.Assumed)
}

func stoppedBy(s sim.Stop) StoppedBy {
	switch s {
	case sim.StopReserve:
		return ByReserve
	case sim.StopTemperature:
		return ByTemperature
	}
	return ByCutoffVoltage
}

func (w *work) meanA() float64 {
	if w.run0.Seconds <= 0 {
		return 0
	}
	return w.run0.Coulombs / w.run0.Seconds
}

const mostPacks = 1e9

// packsFor is how many packs that last for seconds each the session takes; 0 where
// none will do or nobody asks.
func (w *work) packsFor(seconds float64) float64 {
	if w.q.SessionMin == nil || seconds <= 0 {
		return 0
	}
	n := max(math.Ceil(*w.q.SessionMin*minute/seconds*(1-1e-9)), 1)
	if n > mostPacks {
		return 0 // each lasts for no time worth counting
	}
	return n
}

// leadDropV is what both wires of the main lead take at the largest current.
func (w *work) leadDropV() (v float64, known bool) {
	l := w.q.Pack.MainLead
	if l == nil || l.WireAWG == nil || l.LengthMM == nil {
		return 0, false
	}
	const degC = 20
	return w.peakA() * 2 * *l.LengthMM / 1000 * cell.WireResistance(*l.WireAWG, degC), true
}

// alarmV is the voltage of the weakest cell under load when the reserve is reached, or the
// cut-off.
func (w *work) alarmV() (v float64, known bool) {
	a := &w.alarm
	if w.draw.Curve == nil || a.Seconds <= 0 {
		return 0, false
	}
	return max(a.LowestCellV, w.draw.CutoffV), true
}

func (w *work) temperature() Temperature {
	t, r := w.model.Thermal, &w.run0
	return Temperature{
		AmbientDegC: spec.Round9(t.AmbientDegC), StartDegC: spec.Round9(t.StartDegC),
		RiseK: spec.Round9(r.PeakDegC - t.StartDegC), PeakDegC: spec.Round9(r.PeakDegC), EndDegC: spec.Round9(r.EndDegC),
		AdiabaticDegC: spec.Round9(max(t.StartDegC, t.AmbientDegC) + r.HeatJ/t.HeatCapacityJK),
	}
}

// times are those of the samples.
func (w *work) times() []float64 {
	out := make([]float64, w.q.CurvePoints)
	for i := range out {
		out[i] = sim.SampleTime(w.run0.Seconds, i, len(out))
	}
	return out
}

// states are the samples.
func (w *work) states() []sim.DrawState {
	out := make([]sim.DrawState, w.q.CurvePoints)
	w.draw.Groups = w.groups(corner{})
	sim.SampleDraw(&w.draw, w.times(), out)
	return out
}

// curve samples the run evenly in time, both ends included.
func (w *work) curve() []Point {
	if w.q.CurvePoints == 0 {
		return nil
	}
	out := make([]Point, w.q.CurvePoints)
	states, times := w.states(), w.times()
	for i := range out {
		s := &states[i]
		out[i] = Point{
			TS: spec.Round9(times[i]), CurrentA: spec.Round9(s.AmpA),
			PackVoltageV: spec.Round9(max(s.PackV, 0)), LowestCellV: spec.Round9(max(s.LowestV, 0)),
			ChargePercent: spec.Round9(s.Charge * 100), TemperatureDegC: spec.Round9(s.DegC),
		}
	}
	return out
}
