package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// DrawGroup is Count series groups that are alike, as a load finds them: rested.
type DrawGroup struct {
	Count    float64
	Coulomb  float64 // capacity
	Charge   float64 // state of charge at the start
	Ohm      float64 // ohmic resistance
	PolarOhm float64 // polarization resistance
}

// LoadKind says how a load draws.
type LoadKind uint8

// The kinds of load.
const (
	LoadCurrent    LoadKind = iota // the same current
	LoadPower                      // the same power at the terminals
	LoadResistance                 // a resistor at the terminals
	LoadCycle                      // segments, repeated
)

// LoadSegment is one part of a cycle: a time at a current or at a power, of
// which the other is 0; both are 0 in a pause.
type LoadSegment struct{ Seconds, AmpA, PowerW float64 }

// Draw is a pack, what draws from it, and where that stops.
type Draw struct {
	Curve  *cell.Curve // open-circuit curve; nil where FlatV stands for it
	FlatV  float64
	PolarS float64 // time constant of the polarization, above 0
	Groups []DrawGroup
	Lump   cell.Thermal // the zero value where nobody asks for the temperature

	Kind     LoadKind
	AmpA     float64 // of LoadCurrent
	PowerW   float64 // of LoadPower
	Ohm      float64 // of LoadResistance
	Segments []LoadSegment

	CutoffV   float64 // loaded voltage of the weakest cell that ends the run; -Inf for none
	Reserve   float64 // state of charge of the emptiest cell that ends the run, 0 or more
	LimitDegC float64 // temperature of the pack that ends the run; +Inf for none
	Brief     bool    // only how it ends and when is wanted
}

// Stop says what ended a run.
type Stop uint8

// What ends a run.
const (
	StopCutoff      Stop = iota // a cell's voltage under load reached the cut-off
	StopReserve                 // the emptiest cell reached the reserve
	StopTemperature             // the pack reached its temperature limit
	StopPower                   // the load asks for more power than the pack can give
)

// Drawn is a run that has ended.
type Drawn struct {
	Stop        Stop
	Seconds     float64
	Coulombs    float64
	Cycles      float64 // whole cycles
	Segment     int     // of the cycle in which it ended
	StoredJ     float64 // drawn from the cells: HeatJ and what came out at the terminals
	HeatJ       float64 // lost in the pack, what its polarization gives off after the run included
	PeakA       float64
	FilteredA   float64 // the current as the time constant filters it, at the end
	SquareA2S   float64 // ∫ I² dt: over the time, the square of the current that would heat as much
	LowestPackV float64 // lowest voltage of the pack
	LowestCellV float64 // lowest voltage of a cell
	PeakDegC    float64
	EndDegC     float64
}

// EnergyJ is what came out at the terminals.
func (r *Drawn) EnergyJ() float64 { return r.StoredJ - r.HeatJ }

// DrawState is a run at one moment.
type DrawState struct {
	AmpA    float64
	PackV   float64
	LowestV float64 // the weakest cell under load
	Charge  float64 // mean of the cells
	DegC    float64
}

// Discharge runs a load until something stops it.
//
// All series groups carry one current and have one time constant, so the
// polarization voltage of each is its polarization resistance times w, the
// current as the time constant filters it: dw/dt = (I − w)/τ. The charge drawn,
// w and the temperature are the whole state. Resistance is not lowered as the
// pack warms.
func Discharge(d *Draw) Drawn {
	s := newDrawer(d)
	if d.Brief && s.warms() {
		s.cold = true
		s.run()
		if d.Lump.AmbientDegC+max(s.now.over, 0)+s.heatJ()/d.Lump.HeatCapacityJK < d.LimitDegC {
			return s.finish() // no hotter if it kept all its heat
		}
		s = newDrawer(d)
	}
	s.run()
	return s.finish()
}

// SampleDraw fills out with the state at each of the times, in seconds from the start
// in rising order; past the end it stays as it was there.
func SampleDraw(d *Draw, times []float64, out []DrawState) {
	s := newDrawer(d)
	s.times, s.samples = times, out
	s.run()
	for len(s.times) > 0 {
		s.sample(s.now, s.amp)
	}
}

// drawNow is the state of a run.
type drawNow struct {
	t, q, w float64
	over    float64 // temperature of the pack above its surroundings
	square  float64 // ∫ I² dt
	mixed   float64 // ∫ w I dt
}

// drawer carries a run from event to event.
type drawer struct {
	d       *Draw
	now     drawNow
	out     Drawn
	amp     float64 // last current
	ended   bool
	dry     bool // only how the run ends and when is wanted
	asks    bool // not even when
	cold    bool // the temperature is not followed
	times   []float64
	samples []DrawState

	r0, r1      float64 // sums over the pack
	rate        float64 // 1/τ
	e0, e1      float64 // open-circuit voltage and its fall for each coulomb
	kink, kinkQ float64 // how far that holds, and the charge drawn there
	reserveQ    float64 // charge drawn at which the reserve is reached
	limit       float64 // temperature limit above the surroundings
	piece       [MaxGroups]int16
	u, b        [MaxGroups]float64 // open-circuit voltage of each group, and its fall for each coulomb
}

func newDrawer(d *Draw) drawer {
	s := drawer{d: d, dry: d.Brief, rate: 1 / d.PolarS, limit: d.LimitDegC - d.Lump.AmbientDegC}
	s.now.over = d.Lump.StartDegC - d.Lump.AmbientDegC
	s.reserveQ = math.Inf(1)
	s.out.LowestPackV, s.out.LowestCellV = math.Inf(1), math.Inf(1)
	s.out.PeakDegC = d.Lump.StartDegC
	for j := range d.Groups {
		g := &d.Groups[j]
		s.r0 += g.Count * g.Ohm
		s.r1 += g.Count * g.PolarOhm
		s.reserveQ = min(s.reserveQ, (g.Charge-d.Reserve)*g.Coulomb)
		if d.Curve != nil {
			s.piece[j] = int16(d.Curve.Piece(g.Charge))
		}
	}
	return s
}

func (s *drawer) run() {
	switch {
	case s.reserveLeft() <= 0:
		s.begin(StopReserve)
		return
	case s.warms() && s.now.over >= s.limit:
		s.begin(StopTemperature)
		return
	}
	switch s.d.Kind {
	case LoadCurrent:
		s.current(s.d.AmpA, math.Inf(1))
	case LoadPower:
		s.follow(newDrawLaw(s.d.PowerW, s.r0), math.Inf(1))
	case LoadResistance:
		s.follow(newDrawLaw(0, s.r0+s.d.Ohm), math.Inf(1))
	default:
		s.cycle()
	}
}

// begin ends a run as the load comes on.
func (s *drawer) begin(why Stop) {
	d, l := s.d, newDrawLaw(s.d.PowerW, s.r0)
	s.look()
	s.amp = d.AmpA
	switch d.Kind {
	case LoadResistance:
		l = newDrawLaw(0, s.r0+d.Ohm)
	case LoadCycle:
		s.amp, l = d.Segments[0].AmpA, newDrawLaw(d.Segments[0].PowerW, s.r0)
	}
	if l.powerW > 0 || d.Kind == LoadResistance {
		s.amp = l.amp(s.e0)
	}
	s.note(s.amp)
	s.end(why)
}

func (s *drawer) warms() bool { return s.d.Lump.HeatCapacityJK > 0 && !s.cold }

func (s *drawer) heatJ() float64 { return s.r0*s.now.square + s.r1*s.now.mixed }

func (s *drawer) end(why Stop) { s.out.Stop, s.ended = why, true }

func (s *drawer) finish() Drawn {
	o := &s.out
	o.Seconds, o.Coulombs, o.SquareA2S, o.FilteredA = s.now.t, s.now.q, s.now.square, s.now.w
	if s.d.Brief {
		return *o
	}
	for j := range s.d.Groups {
		g := &s.d.Groups[j]
		if s.d.Curve == nil {
			o.StoredJ += g.Count * s.d.FlatV * s.now.q
			continue
		}
		o.StoredJ += g.Count * g.Coulomb * (s.d.Curve.Integral(g.Charge) - s.d.Curve.Integral(g.Charge-s.now.q/g.Coulomb))
	}
	o.HeatJ = s.heatJ()
	o.EndDegC = s.d.Lump.AmbientDegC + s.now.over
	return *o
}

// reserveLeft is the charge that may still be drawn before the reserve.
func (s *drawer) reserveLeft() float64 { return s.reserveQ - s.now.q }

// look reads the curve where each group is now, moving each to the piece of the
// curve that lies below it.
func (s *drawer) look() {
	s.e0, s.e1, s.kinkQ = 0, 0, math.Inf(1)
	c := s.d.Curve
	for j := range s.d.Groups {
		g := &s.d.Groups[j]
		if c == nil {
			s.u[j], s.b[j] = s.d.FlatV, 0
			s.e0 += g.Count * s.d.FlatV
			continue
		}
		k := int(s.piece[j])
		for n := 0; k > 0 && (g.Charge-c.At(k).Charge)*g.Coulomb <= s.now.q; n++ {
			k--
			if n == 2 { // far
				k = min(k, c.Piece(g.Charge-s.now.q/g.Coulomb)+1)
			}
		}
		s.piece[j] = int16(k)
		from, slope := c.At(k), c.Slope(k)
		if k > 0 {
			s.kinkQ = min(s.kinkQ, (g.Charge-from.Charge)*g.Coulomb)
		}
		s.u[j] = from.Volt + slope*(g.Charge-s.now.q/g.Coulomb-from.Charge)
		s.b[j] = slope / g.Coulomb
		s.e0 += g.Count * s.u[j]
		s.e1 += g.Count * s.b[j]
	}
	s.kink = s.kinkQ - s.now.q
}

// spare is how far the weakest cell is above the cut-off x coulombs from where the
// curve was read.
func (s *drawer) spare(x, amp, w float64) float64 {
	return s.lowest(x, amp, w) - s.d.CutoffV
}

func (s *drawer) lowest(x, amp, w float64) float64 {
	low := math.Inf(1)
	for j := range s.d.Groups {
		g := &s.d.Groups[j]
		if v := s.u[j] - s.b[j]*x - amp*g.Ohm - g.PolarOhm*w; v < low { // cheaper than min
			low = v
		}
	}
	return low
}

// note keeps the extremes at a moment at which the curve has been read.
func (s *drawer) note(amp float64) {
	if s.dry {
		return
	}
	o := &s.out
	o.PeakA = max(o.PeakA, amp)
	o.LowestPackV = min(o.LowestPackV, s.e0-amp*s.r0-s.r1*s.now.w)
	o.LowestCellV = min(o.LowestCellV, s.lowest(0, amp, s.now.w))
	o.PeakDegC = max(o.PeakDegC, s.d.Lump.AmbientDegC+s.now.over)
}

// pending reports whether a sample is wanted before t.
func (s *drawer) pending(t float64) bool { return len(s.times) > 0 && s.times[0] < t }

// sample writes down the first wanted sample.
func (s *drawer) sample(n drawNow, amp float64) {
	x := &s.samples[0]
	*x = DrawState{AmpA: amp, LowestV: math.Inf(1), DegC: s.d.Lump.AmbientDegC + n.over}
	count := 0.0
	for j := range s.d.Groups {
		g := &s.d.Groups[j]
		z, v := g.Charge-n.q/g.Coulomb, s.d.FlatV
		if s.d.Curve != nil {
			v = s.d.Curve.Voltage(z)
		}
		v -= amp*g.Ohm + g.PolarOhm*n.w
		x.PackV += g.Count * v
		x.LowestV = min(x.LowestV, v)
		x.Charge += g.Count * max(z, 0)
		count += g.Count
	}
	x.Charge /= count
	s.times, s.samples = s.times[1:], s.samples[1:]
}
