package sim

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
)

// Sink is what takes charge out of a pack until Coulombs have passed: a charger
// that discharges at a current, held back by its power, or a resistor.
type Sink struct {
	Coulombs float64 // to pass through the pack's terminals
	CurrentA float64 // +Inf where nothing but power limits it
	PowerW   float64 // at the pack's terminals; +Inf where nothing limits it
	Ohm      float64 // of a resistor in place of both; 0 for none
	Brief    bool    // only the time is wanted

	// Mean is, in place of all, the mean current of a load that comes round
	// quickly, at a sum of open-circuit voltages and a resistance; nil for none.
	Mean func(volts, ohm float64) float64

	BleedA  float64 // what is bled, after that, from each cell that rests above BleedTo; 0 for none
	BleedTo float64 // state of charge
}

// LowerKind is what sets the current in a stretch of a lowering.
type LowerKind uint8

// The kinds of stretch.
const (
	LowerPowerLimited LowerKind = iota
	LowerConstantCurrent
	LowerResistor
	LowerMean
	LowerBleeding
)

// LowerPiece is a stretch of a lowering on one linear piece of the pack's curve.
type LowerPiece struct {
	Kind         LowerKind
	T0, Seconds  float64 // start and length in time
	Q0, Coulombs float64 // start and length in charge
	I0, I1       float64 // current at the start and at the end

	e0, fall float64 // sum of the open-circuit voltages at the start, and how far it falls a coulomb
}

// Lowering is a pack that is brought down, in the quasi-steady form: one
// resistance, as in a charge.
type Lowering struct {
	Pieces   []LowerPiece
	Seconds  float64
	Coulombs float64 // through the pack's terminals
	EndA     float64 // current when they have passed
	StoredJ  float64 // given up by the cells
	HeatJ    float64 // of that, heat in the cells
	BledJ    float64 // of that, heat in the balancing circuit
	BledC    float64 // bled from cells, summed over the cells
	BleedS   float64 // seconds spent bleeding, at the end
	SpreadV  float64 // highest less lowest rested cell at the end

	curve  *cell.Curve
	groups []Group
	sink   Sink
	ohm    float64
	bled   [MaxGroups]float64 // what is bled from each group
}

// Lower discharges a pack. The heat of a mean current, which its parts do not
// share evenly, is left out. Groups number 1 to MaxGroups; pieces is scratch
// space to build the answer in and may be nil.
func Lower(curve *cell.Curve, groups []Group, s Sink, pieces []LowerPiece) Lowering {
	d := Lowering{curve: curve, groups: groups, sink: s, Pieces: pieces[:0]}
	for _, g := range groups {
		d.ohm += g.Count * g.Ohm
	}
	d.draw()
	d.Coulombs = s.Coulombs
	if s.Coulombs > 0 {
		d.EndA = d.current(d.rested(s.Coulombs))
	}
	if s.BleedA > 0 {
		d.bleed()
	}
	if !s.Brief {
		d.finish()
	}
	return d
}

// draw goes from breakpoint to breakpoint of the curve. The sum of the
// open-circuit voltages only falls, so the current of a power only rises, and
// once it has met the current that is set it stays there: the rest is one
// stretch.
func (d *Lowering) draw() {
	s := &d.sink
	heatC := 0.0 // ∫ I dq
	var piece [MaxGroups]int
	var perC [MaxGroups]float64
	for j := range d.groups {
		piece[j], perC[j] = d.curve.Piece(d.groups[j].Charge), 1/d.groups[j].Coulomb
	}
	meet := 0.0 // at this voltage the power needs just the current that is set
	if !math.IsInf(s.CurrentA, 1) {
		meet = s.PowerW/s.CurrentA + d.ohm*s.CurrentA
	}
	for q := 0.0; q < s.Coulombs; {
		next := s.Coulombs
		var e, fall float64
		for j := range d.groups {
			g, k := &d.groups[j], piece[j]
			at := d.curve.At(k)
			end := (g.Charge - at.Charge) * g.Coulomb
			for end <= q && k > 0 {
				k--
				at = d.curve.At(k)
				end = (g.Charge - at.Charge) * g.Coulomb
			}
			piece[j] = k
			if end > q && end < next {
				next = end
			}
			slope := d.curve.Slope(k)
			e += g.Count * (at.Volt + slope*(g.Charge-q*perC[j]-at.Charge))
			fall += g.Count * slope * perC[j]
		}
		kind, next := d.law(e, fall, meet, q, next)
		if s.Brief {
			d.Seconds += d.seconds(kind, e, fall, next-q)
		} else {
			heatC += d.keep(LowerPiece{Kind: kind, T0: d.Seconds, Q0: q, Coulombs: next - q, e0: e, fall: fall})
		}
		q = next
	}
	d.HeatJ = d.ohm * heatC
}

// seconds is how long x coulombs take, where the sum of the open-circuit voltages
// falls from e0 by fall a coulomb.
func (d *Lowering) seconds(kind LowerKind, e0, fall, x float64) float64 {
	s := &d.sink
	switch kind {
	case LowerResistor:
		return resistorSeconds(e0, fall, s.Ohm+d.ohm, x)
	case LowerMean:
		return meanSeconds(s.Mean, e0, fall, d.ohm, x)
	case LowerPowerLimited:
		return loweringSeconds(e0, fall, d.ohm, s.PowerW, x)
	}
	return x / s.CurrentA
}

// keep finds the time and the currents of a stretch and adds it to the pieces. It
// returns ∫ I dq over it: times the resistance that is heat.
func (d *Lowering) keep(p LowerPiece) float64 {
	s := &d.sink
	p.I0, p.I1 = s.CurrentA, s.CurrentA // also past the breakpoints of a long stretch
	if p.Kind != LowerConstantCurrent {
		p.I0, p.I1 = d.current(p.e0), d.current(p.e0-p.fall*p.Coulombs)
	}
	square := (p.I0 + p.I1) / 2 * p.Coulombs
	if p.Kind == LowerPowerLimited {
		p.Seconds, square = loweringIntegrals(p.e0, p.fall, d.ohm, s.PowerW, p.Coulombs)
	} else {
		p.Seconds = d.seconds(p.Kind, p.e0, p.fall, p.Coulombs)
	}
	d.Seconds += p.Seconds
	d.Pieces = append(d.Pieces, p)
	return square
}

// law finds what sets the current of the stretch from q and how far it reaches, at
// most to next; power gives way to the current that is set where the voltage meets
// meet.
func (d *Lowering) law(e0, fall, meet, q, next float64) (kind LowerKind, end float64) {
	s := &d.sink
	if s.Mean != nil {
		return LowerMean, next
	}
	if s.Ohm > 0 {
		return LowerResistor, next
	}
	if over := e0 - meet; over > 0 {
		if over < fall*(next-q) {
			next = q + over/fall
		}
		if next > q { // else they have met but for rounding
			return LowerPowerLimited, next
		}
	}
	return LowerConstantCurrent, s.Coulombs
}

// bleed takes the cells that still rest above BleedTo down to it, all at once,
// each through its own circuit.
func (d *Lowering) bleed() {
	longest := 0.0
	for j, g := range d.groups {
		x := (g.Charge - d.sink.BleedTo) * g.Coulomb
		x -= d.Coulombs
		if x <= 1e-9*g.Coulomb {
			continue
		}
		d.bled[j] = x
		d.BledC += g.Count * x
		longest = max(longest, x)
	}
	if longest == 0 {
		return
	}
	d.BleedS = longest / d.sink.BleedA
	if !d.sink.Brief {
		d.Pieces = append(d.Pieces, LowerPiece{Kind: LowerBleeding, T0: d.Seconds, Q0: d.Coulombs, Seconds: d.BleedS})
	}
	d.Seconds += d.BleedS
}

// finish adds up what the stretches leave.
func (d *Lowering) finish() {
	var high, low float64
	for j, g := range d.groups {
		z := g.Charge - d.Coulombs/g.Coulomb
		end := z - d.bled[j]/g.Coulomb
		bled := g.Coulomb * (d.curve.Integral(z) - d.curve.Integral(end))
		d.BledJ += g.Count * bled
		d.StoredJ += g.Count * (g.Coulomb*(d.curve.Integral(g.Charge)-d.curve.Integral(z)) + bled)
		u := d.curve.Voltage(end)
		if j == 0 || u > high {
			high = u
		}
		if j == 0 || u < low {
			low = u
		}
	}
	d.SpreadV = high - low
}

// OutJ is the energy that leaves the pack's terminals.
func (d *Lowering) OutJ() float64 { return d.StoredJ - d.HeatJ - d.BledJ }

// MainSeconds is the time without bleeding.
func (d *Lowering) MainSeconds() float64 { return d.Seconds - d.BleedS }

// Bled is what was bled from each cell of group j.
func (d *Lowering) Bled(j int) float64 { return d.bled[j] }

// PackVoltage is the pack's voltage under load when q coulombs have passed.
func (d *Lowering) PackVoltage(q float64) float64 {
	e := d.rested(q)
	return e - d.ohm*d.current(e)
}

// rested is the sum of the open-circuit voltages when q coulombs have passed.
func (d *Lowering) rested(q float64) float64 {
	e := 0.0
	for _, g := range d.groups {
		e += g.Count * d.curve.Voltage(g.Charge-q/g.Coulomb)
	}
	return e
}

// current is what the sink takes at a sum of open-circuit voltages.
func (d *Lowering) current(e float64) float64 {
	s := &d.sink
	if s.Mean != nil {
		return s.Mean(e, d.ohm)
	}
	if s.Ohm > 0 {
		return e / (s.Ohm + d.ohm)
	}
	if math.IsInf(s.PowerW, 1) {
		return s.CurrentA
	}
	return min(s.CurrentA, LoweringCurrent(e, d.ohm, s.PowerW))
}

// ChargeAtVoltage is the charge after which the pack under load first shows volts:
// 0 where it begins there or below, Coulombs where it never falls so far. The
// voltage only falls, so bisection finds it, to 1e-13 of the way.
func (d *Lowering) ChargeAtVoltage(volts float64) float64 {
	lo, hi := 0.0, d.Coulombs
	if hi <= 0 || d.PackVoltage(0) <= volts {
		return 0
	}
	if d.PackVoltage(hi) > volts {
		return hi
	}
	for range 44 {
		mid := (lo + hi) / 2
		if d.PackVoltage(mid) > volts {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
