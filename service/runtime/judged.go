package runtime

import (
	"math"
	"strconv"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// judged works out what the rules look at.
func (w *work) judged() {
	r, d := w.running, &w.draw
	groups := w.groups(corner{})
	e0, r0 := 0.0, 0.0
	w.mostA = math.Inf(1)
	lowest := math.Inf(1)
	for i := range groups {
		g := &groups[i]
		u := w.flatV
		if d.Curve != nil {
			u = d.Curve.Voltage(g.Charge)
		}
		e0 += g.Count * u
		r0 += g.Count * g.Ohm
		w.mostA = min(w.mostA, max((u-d.CutoffV)/g.Ohm, 0))
		lowest = min(lowest, g.Charge)
	}
	w.restedV = e0
	w.bestA = max(min(w.mostA, e0/(2*r0)), 0) // beyond half the voltage a higher current gives less power
	w.mostW = w.bestA * (e0 - w.bestA*r0)
	r.LoadAt = w.loadAt()
	w.askedA, w.askedW = d.AmpA, d.PowerW
	if d.Kind == sim.LoadResistance {
		w.askedA = max(e0, 0) / (r0 + d.Ohm)
	}
	for i := range d.Segments {
		s := &d.Segments[i]
		at := "/load/segments/" + strconv.Itoa(i)
		if s.AmpA > w.askedA {
			w.askedA, r.AmpAt = s.AmpA, at+"/current_a"
		}
		if s.PowerW > w.askedW {
			w.askedW, r.PowerAt = s.PowerW, at+"/power_w"
		}
	}
	if d.Kind != sim.LoadCycle {
		r.AmpAt, r.PowerAt = r.LoadAt, r.LoadAt
	}
	if lead := w.q.Pack.MainLead; lead != nil && lead.WireAWG != nil {
		w.wireA = cell.WireCurrent(*lead.WireAWG)
	}
	w.steadyA = w.steady()
	r.AskedA, r.AskedW, r.MostA, r.MostW = w.askedA, w.askedW, w.mostA, w.mostW
	r.PeakA, r.SteadyA, r.WireA = w.peakA(), w.steadyA, w.wireA
	r.PeakDegC, r.StartDegC, r.AmbientGiven = w.run0.PeakDegC, w.model.Thermal.StartDegC, w.q.AmbientDegC != nil
	r.StartPercent = lowest * 100
}

// loadAt is the JSON Pointer to what the load is described by.
func (w *work) loadAt() string {
	switch w.q.Load.Kind {
	case spec.ConstantCurrent:
		return "/load/current_a"
	case spec.ConstantPower:
		return "/load/power_w"
	case spec.ConstantResistance:
		return "/load/resistance_ohm"
	}
	return "/load/segments"
}

// peakA is the largest current of the run, or of a segment that it did not reach.
func (w *work) peakA() float64 { return max(w.run0.PeakA, w.askedA) }

// rms is the steady current that would heat the pack as much as the run does.
func (w *work) rms() float64 {
	if w.run0.Seconds <= 0 {
		return 0
	}
	return math.Sqrt(w.run0.SquareA2S / w.run0.Seconds)
}

// steady is the current that heats leads and cells: by its square in the mean, and that of
// any segment longer than a burst. That of a power is taken at the lowest voltage of
// the run.
func (w *work) steady() float64 {
	d := &w.draw
	if d.Kind == sim.LoadCurrent || d.Kind == sim.LoadPower || w.run0.Seconds <= 0 {
		return w.peakA()
	}
	most := w.rms()
	for i := range d.Segments {
		if s := &d.Segments[i]; s.Seconds > rule.BurstS {
			most = max(most, s.AmpA, s.PowerW/max(w.run0.LowestPackV, d.CutoffV))
		}
	}
	return most
}
