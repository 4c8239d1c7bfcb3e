package runtime

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// work is one estimate in the making.
type work struct {
	q       *Request
	s       *scratch
	out     *Estimate
	facts   *rule.Facts
	running *rule.Running

	model   cell.Model
	share   float64 // of the resistance that is ohmic
	draw    sim.Draw
	run0    sim.Drawn // the expected run
	alarm   sim.Drawn // the run without a temperature limit
	flatV   float64   // mean voltage of a cell, where no curve tells it
	span    span
	askedA  float64
	askedW  float64
	restedV float64 // of the pack at the start
	mostA   float64
	bestA   float64 // the current of most power
	mostW   float64
	wireA   float64
	steadyA float64
}

// corner says which value of each range to run with. The resistances of all
// groups are uncertain by one common factor; 0 stands for 1.
type corner struct {
	coulomb, charge cell.Pick
	ohm             float64
}

func (w *work) run() {
	w.prepare()
	w.run0 = w.whole(corner{})
	w.alarm = w.run0
	if w.run0.Stop == sim.StopTemperature && w.run0.Seconds > 0 {
		if cool := w.cool(corner{}); cool.Stop != sim.StopPower { // where the power gives out there is no voltage to wait for
			w.alarm = cool
		}
	}
	w.estimateSpan()
	w.judged()
}

// prepare builds the model, and what is drawn from it.
func (w *work) prepare() {
	q, c := w.q, w.facts.Chemistry
	w.model = cell.NewModel(c, &q.Pack, cell.Place{AmbientDegC: q.AmbientDegC, At: "/ambient_degc"}, spec.FromAssumedFull, w.s.assumed[:0])
	w.share = 1 / (1 + c.PolarFactor.Value)
	w.draw = sim.Draw{
		Curve: c.Curve, PolarS: c.PolarTime.Value, Lump: w.model.Thermal, LimitDegC: rule.HottestInUseDegC,
	}
	if w.draw.PolarS == 0 {
		w.draw.PolarS = 1 // of a polarization resistance of 0
	}
	if c.Curve == nil {
		w.flat()
	}
	w.cutoff()
	w.load()
}

func (w *work) assume(field string, value any, why string, source spec.Source) {
	w.model.Assumed = append(w.model.Assumed, spec.Assumed{Field: field, Value: value, Why: why, Source: source})
}

// flat takes the nominal voltage for the resting voltage of a chemistry whose voltage does
// not tell its charge.
func (w *work) flat() {
	p, c := &w.q.Pack, w.facts.Chemistry
	n := float64(p.CellsSeries)
	if p.NominalVoltageV != nil {
		w.flatV = *p.NominalVoltageV / n
	} else {
		w.flatV = c.NominalV.Value
		w.assume("/pack/nominal_voltage_v", spec.Round9(w.flatV*n), "taken as the mean voltage at rest, the same from full to empty: the voltage of a nimh pack does not tell its charge, so the run follows from the charge counted", c.NominalV.Source)
	}
	w.draw.FlatV = w.flatV
	if !w.model.Measured {
		why := "typical for the chemistry and capacity, by the pack's temperature and age"
		if p.MaxDischargeCRate != nil {
			why = "from the printed discharge rate and capacity, by the pack's temperature and age"
		}
		w.assume("/pack/cell_resistances_mohm", spec.Round9(w.model.Groups[0].Ohm.Expected*w.share*1000), why, c.Typical.Source)
	}
}

// cutoff decides where the run ends.
func (w *work) cutoff() {
	given := w.q.Cutoff
	if given == nil {
		given = &Cutoff{}
	}
	floor := w.facts.Chemistry.LoadedFloor
	w.draw.CutoffV = floor.Value
	if given.CellVoltageV != nil {
		w.draw.CutoffV = *given.CellVoltageV
	} else {
		w.assume("/cutoff/cell_voltage_v", floor.Value, "the lowest voltage under load at which the chemistry is run", floor.Source)
	}
	switch {
	case given.ReservePercent != nil:
		w.draw.Reserve = *given.ReservePercent / 100
	case given.CellVoltageV == nil:
		w.draw.Reserve = rule.UsualReservePercent / 100
		w.assume("/cutoff/reserve_percent", rule.UsualReservePercent, "a pack is landed with a fifth of its charge left", spec.Practice("a pack is landed with 20 to 30 % left"))
	default:
		w.assume("/cutoff/reserve_percent", 0.0, "only a cut-off voltage is given, so the run goes on to it, or until a cell is empty", spec.Practice("who gives a cut-off voltage runs the pack down to it"))
	}
	w.running.CutoffV, w.running.ReservePercent = w.draw.CutoffV, w.draw.Reserve*100
}

func (w *work) load() {
	l, d := &w.q.Load, &w.draw
	switch l.Kind {
	case spec.ConstantCurrent:
		d.Kind, d.AmpA = sim.LoadCurrent, *l.CurrentA
	case spec.ConstantPower:
		d.Kind, d.PowerW = sim.LoadPower, *l.PowerW
	case spec.ConstantResistance:
		d.Kind, d.Ohm = sim.LoadResistance, *l.ResistanceOhm
	default:
		d.Kind = sim.LoadCycle
		w.s.segments = w.s.segments[:0]
		for i := range l.Segments {
			s, to := &l.Segments[i], sim.LoadSegment{Seconds: l.Segments[i].DurationS}
			if s.CurrentA != nil {
				to.AmpA = *s.CurrentA
			} else {
				to.PowerW = *s.PowerW
			}
			w.s.segments = append(w.s.segments, to)
		}
		d.Segments = w.s.segments
	}
}

// at runs the load at one corner, of which only how it ends and when is wanted.
func (w *work) at(c corner) sim.Drawn {
	w.draw.Brief = true
	r := w.whole(c)
	w.draw.Brief = false
	return r
}

// whole is the same run with all that it tells.
func (w *work) whole(c corner) sim.Drawn {
	w.draw.Groups = w.groups(c)
	return sim.Discharge(&w.draw)
}

// cool runs the load at one corner as if no heat ended it.
func (w *work) cool(c corner) sim.Drawn {
	w.draw.LimitDegC = math.Inf(1)
	r := w.whole(c)
	w.draw.LimitDegC = rule.HottestInUseDegC
	return r
}

// groups lists the pack's groups at one corner, alike ones together.
func (w *work) groups(c corner) []sim.DrawGroup {
	slot := 1
	if c == (corner{}) {
		slot = 0
	}
	factor := c.ohm
	if factor == 0 {
		factor = 1
	}
	groups := w.s.groups[slot][:0]
next:
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		z, ohm := g.Charge.At(c.charge), g.Ohm.Expected*factor
		for j := range groups {
			if groups[j].Charge == z && groups[j].Ohm == ohm*w.share {
				groups[j].Count++
				continue next
			}
		}
		groups = append(groups, sim.DrawGroup{
			Count: 1, Coulomb: w.model.Coulomb.At(c.coulomb), Charge: z, Ohm: ohm * w.share, PolarOhm: ohm * (1 - w.share),
		})
	}
	return groups
}
