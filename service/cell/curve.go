package cell

import "fmt"

// Sample is one point of an open-circuit curve: charge as a fraction of full,
// and rested volts.
type Sample struct{ Charge, Volt float64 }

// Curve is a strictly increasing, piecewise linear open-circuit curve from
// charge 0 to 1, with its exact inverse and integral.
type Curve struct{ nodes []node }

// node is a sample of a curve, with what its piece, up to the next sample, needs.
type node struct {
	z, u float64
	k    float64 // slope of the piece that begins here
	w    float64 // integral of u from 0 to z, by the trapezoid rule: exact for linear pieces
}

// NewCurve builds a curve. It panics on a table that is not strictly
// increasing from charge 0 to 1: a table is data of ours, not input.
func NewCurve(table []Sample) *Curve {
	n := len(table)
	if n < 2 || table[0].Charge != 0 || table[n-1].Charge != 1 {
		panic("cell: a curve runs from charge 0 to 1")
	}
	c := &Curve{nodes: make([]node, n)}
	for i, s := range table {
		x := &c.nodes[i]
		x.z, x.u = s.Charge, s.Volt
		if i == 0 {
			continue
		}
		last := &c.nodes[i-1]
		if x.z <= last.z || x.u <= last.u {
			panic(fmt.Sprintf("cell: a curve must rise: sample %d", i))
		}
		last.k = (x.u - last.u) / (x.z - last.z)
		x.w = last.w + (x.z-last.z)*(x.u+last.u)/2
	}
	return c
}

// Len is the number of samples.
func (c *Curve) Len() int { return len(c.nodes) }

// At returns sample i.
func (c *Curve) At(i int) Sample { return Sample{c.nodes[i].z, c.nodes[i].u} }

// Piece returns the index i of the linear piece between samples i and i+1 in
// which a rising charge z lies: at a sample, the piece that begins there. Past
// the ends it is the first or the last piece.
func (c *Curve) Piece(z float64) int {
	lo, hi := 0, len(c.nodes)-1 // the piece begins in [lo, hi)
	for hi-lo > 1 {
		mid := int(uint(lo+hi) >> 1)
		if c.nodes[mid].z <= z {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// Slope is dU/dz of piece i, in volts.
func (c *Curve) Slope(i int) float64 { return c.nodes[i].k }

// Voltage is the open-circuit voltage at charge z. Below charge 0, where a
// deeply discharged cell rests, the curve goes on at its first slope; above
// charge 1 it stays.
func (c *Curve) Voltage(z float64) float64 {
	if z >= 1 {
		return c.nodes[len(c.nodes)-1].u
	}
	x := &c.nodes[c.Piece(z)]
	return x.u + (z-x.z)*x.k
}

// Charge is the inverse of Voltage: the charge at which a rested cell shows u
// volts. It is negative for a deeply discharged cell, and at most 1.
func (c *Curve) Charge(u float64) float64 {
	lo, hi := 0, len(c.nodes)-1
	if u >= c.nodes[hi].u {
		return 1
	}
	for hi-lo > 1 {
		mid := int(uint(lo+hi) >> 1)
		if c.nodes[mid].u <= u {
			lo = mid
		} else {
			hi = mid
		}
	}
	a, b := &c.nodes[lo], &c.nodes[lo+1]
	return a.z + (u-a.u)/(b.u-a.u)*(b.z-a.z)
}

// Integral is the integral of Voltage from 0 to z, in volts: times the
// capacity in coulombs it is the stored energy in joules.
func (c *Curve) Integral(z float64) float64 {
	z = min(z, 1)
	x := &c.nodes[c.Piece(z)]
	d := z - x.z
	return x.w + d*(x.u+x.k*d/2)
}

// extend returns the table stretched past its end to volts at its own slope
// between charges from and to, and scaled back to end at charge 1.
func extend(table []Sample, volts, from, to float64) []Sample {
	c := NewCurve(table)
	slope := (c.Voltage(to) - c.Voltage(from)) / (to - from)
	last := table[len(table)-1]
	full := 1 + (volts-last.Volt)/slope
	out := make([]Sample, 0, len(table)+1)
	for _, s := range table {
		out = append(out, Sample{s.Charge / full, s.Volt})
	}
	return append(out, Sample{1, volts})
}
