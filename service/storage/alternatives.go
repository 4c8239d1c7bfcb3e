package storage

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	resistorC     = 0.5  // common practice, as the rest: see constants
	resistorW     = 25.0 // what a resistor that is easily had gives off
	resistorSpare = 0.5

	mostRunS = 24 * 3600.0 // nobody stays with a model for longer
)

// shown keeps what a trace needs of the alternatives, before rounding.
type shown struct {
	runA, runPeak, runMost         float64
	run, resistor                  times
	ohm, startA, endA, stopV       float64
	wantA, wantOhm                 float64
	wait                           times // in days
	tooMuch                        bool  // the load given is more than the pack bears
	tooLittle                      bool  // the load given takes more than a day
	parts                          []part
	meanFrom, meanLow, meanHighest float64
}

// times is a time as a range, in seconds.
type times struct{ expected, low, high float64 }

// alternatives lists the ways down without the charger.
func (w *work) alternatives(groups []sim.Group, down float64) {
	if down <= 0 {
		return // high cells alone are bled by a balancing charger, and by nothing else
	}
	slow := w.limits.noWay != "" || w.span.expected > longHours*3600
	if !slow && w.q.Load == nil {
		return
	}
	list := &ways{}
	w.plan.Alternatives = list.list[:0]
	w.runInModel(groups, down, &list.run)
	if slow {
		w.throughResistor(groups, &list.resistor)
		w.byWaiting(&list.wait)
	}
}

// ways holds the alternatives of one plan, so that they cost one allocation
// together.
type ways struct {
	list     [3]Alternative
	run      ModelRun
	resistor Resistor
	wait     Wait
}

func (w *work) offer(a Alternative) { w.plan.Alternatives = append(w.plan.Alternatives, a) }

// times works out a sink's time for the expected pack and for those that hold
// least and most.
func (w *work) times(groups []sim.Group, sink sim.Sink) (times, sim.Lowering) {
	sink.Brief = true
	at := func(g []sim.Group) sim.Lowering {
		k := sink
		k.Coulombs = w.downC(g)
		return sim.Lower(w.chem.Curve, g, k, nil)
	}
	d := at(groups)
	short := at(w.groups(true, cell.Low, cell.Low, 1))
	long := at(w.groups(true, cell.High, cell.High, 1))
	return times{d.Seconds, min(short.Seconds, d.Seconds), max(long.Seconds, d.Seconds)}, d
}

// bears is the largest current that the pack bears under a load: by its label,
// its connector, and the least voltage of a cell under load.
func (w *work) bears() float64 {
	most := w.loadedFloorA()
	p := &w.q.Pack
	if r := p.MaxDischargeCRate; r != nil {
		most = min(most, *r*p.CapacityMAh/1000)
	}
	if p.MainLead != nil && p.MainLead.ConnectorMaxCurrentA != nil {
		most = min(most, *p.MainLead.ConnectorMaxCurrentA)
	}
	return most
}

// part is one part of a load that comes round: its share of the time at a current
// or at a power.
type part struct{ share, amp, watt float64 }

// partsOf lists the parts of a load of any kind but a resistance, in memory that
// is given.
func partsOf(l *spec.Load, list []part) []part {
	switch l.Kind {
	case spec.ConstantCurrent:
		return append(list, part{share: 1, amp: *l.CurrentA})
	case spec.ConstantPower:
		return append(list, part{share: 1, watt: *l.PowerW})
	}
	round := 0.0
	for _, s := range l.Segments {
		round += s.DurationS
	}
	for _, s := range l.Segments {
		p := part{share: s.DurationS / round}
		if s.CurrentA != nil {
			p.amp = *s.CurrentA
		} else {
			p.watt = *s.PowerW
		}
		list = append(list, p)
	}
	return list
}

// at is the current of a part at a sum of open-circuit voltages and a resistance.
func (p part) at(e, r float64) float64 {
	if p.watt > 0 {
		return sim.LoweringCurrent(e, r, p.watt)
	}
	return p.amp
}

// loadSink is the load given as a sink, and its largest current on the way: a
// power's at the end, a resistance's at the start.
func (w *work) loadSink(groups []sim.Group, down float64) (sim.Sink, float64) {
	l := w.q.Load
	e0, r := w.rested(groups)
	if l.Kind == spec.ConstantResistance {
		return sim.Sink{Ohm: *l.ResistanceOhm}, e0 / (*l.ResistanceOhm + r)
	}
	e1 := 0.0
	for _, g := range groups {
		e1 += g.Count * w.chem.Curve.Voltage(g.Charge-down/g.Coulomb)
	}
	parts := partsOf(l, w.s.parts[:0])
	w.s.parts = parts
	peak := 0.0
	for _, p := range parts {
		peak = max(peak, p.at(e1, r))
	}
	w.shown.parts = parts
	switch l.Kind {
	case spec.ConstantCurrent:
		return sim.Sink{CurrentA: *l.CurrentA, PowerW: math.Inf(1)}, peak
	case spec.ConstantPower:
		return sim.Sink{CurrentA: math.Inf(1), PowerW: *l.PowerW}, peak
	}
	return sim.Sink{Mean: func(e, r float64) float64 {
		sum := 0.0
		for _, p := range parts {
			sum += p.share * p.at(e, r)
		}
		return sum
	}}, peak
}

// runInModel offers the model: under the load given, or else at 1 C or what the
// pack bears. A load that it does not bear is not offered.
func (w *work) runInModel(groups []sim.Group, down float64, run *ModelRun) {
	s, p := &w.shown, w.pen
	s.runMost = w.bears()
	var sink sim.Sink
	if w.q.Load != nil {
		sink, s.runPeak = w.loadSink(groups, down)
		if s.runPeak > s.runMost*(1+1e-9) {
			s.tooMuch = true
			return
		}
	} else {
		s.runA = min(paceC*w.q.Pack.CapacityMAh/1000, s.runMost)
		s.runPeak = s.runA
		sink = sim.Sink{CurrentA: s.runA, PowerW: math.Inf(1)}
	}
	s.run, _ = w.times(groups, sink)
	if s.tooLittle = s.run.expected > mostRunS; s.tooLittle {
		return
	}
	*run = ModelRun{
		ExpectedMin: spec.Round9(s.run.expected / minute), LowMin: spec.Round9(s.run.low / minute), HighMin: spec.Round9(s.run.high / minute),
		MeanCurrentA: spec.Round9(down / s.run.expected),
	}
	x, unit := timeSpan(run.ExpectedMin)
	p.S("Run it in the model for about ").N(x).S(unit).S(" at ")
	switch {
	case w.q.Load != nil:
		p.S("the load given")
	case s.runA < s.runMost:
		p.S("1 C, which is ").About(s.runA).S(" A")
	default:
		p.About(s.runA).S(" A")
	}
	p.S(", with the low-voltage alarm on. Let it rest for an hour, then measure every cell: it should rest near ").N(w.chem.StorageV.Value).S(" V.")
	w.offer(Alternative{Kind: RunInModel, Run: run, Says: p.End()})
}

// throughResistor offers a resistor: the least value of the series E24 that keeps
// the current at the start within 0.5 C and within what the pack bears, and what it
// gives off within what a resistor easily had can.
func (w *work) throughResistor(groups []sim.Group, x *Resistor) {
	s := &w.shown
	e, r := w.rested(groups)
	s.wantA = min(resistorC*w.q.Pack.CapacityMAh/1000, w.bears(), resistorW/e)
	if lead := w.q.Pack.MainLead; lead != nil && lead.WireAWG != nil {
		s.wantA = min(s.wantA, cell.WireCurrent(*lead.WireAWG))
	}
	if r := w.q.Pack.MaxDischargeCRate; r == nil {
		s.wantA = min(s.wantA, unprintedC*w.q.Pack.CapacityMAh/1000)
	}
	s.wantOhm = e / s.wantA
	s.ohm = e24AtLeast(s.wantOhm)
	s.startA = e / (s.ohm + r)
	var d sim.Lowering
	s.resistor, d = w.times(groups, sim.Sink{Ohm: s.ohm})
	s.endA = d.EndA
	s.stopV = d.EndA * s.ohm
	watts := s.startA * s.startA * s.ohm
	*x = Resistor{
		ResistanceOhm: spec.Round9(s.ohm), RatingW: soldWattage(watts / resistorSpare), DissipationW: spec.Round9(watts),
		StartCurrentA: spec.Round9(s.startA), EndCurrentA: spec.Round9(s.endA), StopVoltageV: spec.Round9(s.stopV),
		ExpectedMin: spec.Round9(s.resistor.expected / minute), LowMin: spec.Round9(s.resistor.low / minute), HighMin: spec.Round9(s.resistor.high / minute),
		Cautions: w.pl.hot,
	}
	p := w.pen
	minutes, unit := timeSpan(x.ExpectedMin)
	p.S("Connect a resistor of ").N(x.ResistanceOhm).S(" ohms, rated ").N(x.RatingW).S(" W or more, across the main lead and stay with it. Disconnect it after about ").N(minutes).S(unit)
	p.S(", or as soon as the pack shows ").N(math.Ceil(s.stopV/stopStepV-1e-9) * stopStepV).S(" V with the resistor connected, whichever comes first.")
	w.offer(Alternative{Kind: ThroughResistor, Resistor: x, Says: p.End()})
}

func resistorCautions() []string {
	return []string{
		"It gets hot enough to burn skin and scorch wood: screw it to a metal plate, away from the pack and from anything that burns.",
		"It does not stop by itself. Left connected, it runs the pack flat and ruins it: set an alarm, and never leave it.",
		"Connect it by a connector that fits, never by bare wires: a short across the pack can burn it.",
		"Measure every cell, not only the pack, and disconnect it at once if one falls behind the others or if the pack warms.",
	}
}

// byWaiting tells how long self-discharge would take.
func (w *work) byWaiting(x *Wait) {
	s := &w.shown
	mean := func(pick cell.Pick) float64 {
		sum := 0.0
		for i := range w.model.Groups {
			sum += w.model.Groups[i].Charge.At(pick)
		}
		return sum / float64(len(w.model.Groups))
	}
	rate := w.chem.Leak.PerDay()
	days := func(from, perDay float64) float64 { return math.Log(max(from, w.band.target)/w.band.target) / perDay }
	s.meanFrom, s.meanLow, s.meanHighest = mean(cell.Expected), mean(cell.Low), mean(cell.High)
	s.wait = times{expected: days(s.meanFrom, rate.Expected), low: days(s.meanLow, rate.High), high: days(s.meanHighest, rate.Low)}
	*x = Wait{
		ExpectedDays: spec.Round9(s.wait.expected), LowDays: spec.Round9(s.wait.low), HighDays: spec.Round9(s.wait.high),
		LossPercentPerMonth: spec.Round9(w.chem.Leak.Typical.Value * 100), Source: w.chem.Leak.Typical.Source,
	}
	span, unit := longSpan(x.ExpectedDays)
	w.offer(Alternative{
		Kind: ByWaiting, Wait: x,
		Says: w.pen.S("Leave it: self-discharge alone takes about ").N(span).S(unit).S(", and it ages as it stands meanwhile. That is no way to storage charge unless it is nearly there.").End(),
	})
}

// gentle says whether the pack calls for gentle treatment.
func (w *work) gentle() bool {
	return w.q.Pack.Has(spec.UnknownHistory) || rule.WornOut(&w.s.facts)
}
