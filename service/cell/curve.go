package cell

import (
	"fmt"
	"sort"
)

// Sample is one point of an open-circuit curve: charge as a fraction of full,
// and rested volts.
type Sample struct{ Charge, Volt float64 }

// Curve is a strictly increasing, piecewise linear open-circuit curve from
// charge 0 to 1, with its exact inverse and integral.
type Curve struct {
	z, u []float64
	k    []float64 // slope of each piece
	w    []float64 // integral of u from 0 to z, by the trapezoid rule: exact for linear pieces
}

// NewCurve builds a curve. It panics on a table that is not strictly
// increasing from charge 0 to 1: a table is data of ours, not input.
func NewCurve(table []Sample) *Curve {
	n := len(table)
	if n < 2 || table[0].Charge != 0 || table[n-1].Charge != 1 {
		panic("cell: a curve runs from charge 0 to 1")
	}
	c := &Curve{z: make([]float64, n), u: make([]float64, n), k: make([]float64, n-1), w: make([]float64, n)}
	for i, s := range table {
		c.z[i], c.u[i] = s.Charge, s.Volt
		if i == 0 {
			continue
		}
		if c.z[i] <= c.z[i-1] || c.u[i] <= c.u[i-1] {
			panic(fmt.Sprintf("cell: a curve must rise: sample %d", i))
		}
		c.k[i-1] = (c.u[i] - c.u[i-1]) / (c.z[i] - c.z[i-1])
		c.w[i] = c.w[i-1] + (c.z[i]-c.z[i-1])*(c.u[i]+c.u[i-1])/2
	}
	return c
}

// Len is the number of samples.
func (c *Curve) Len() int { return len(c.z) }

// At returns sample i.
func (c *Curve) At(i int) Sample { return Sample{c.z[i], c.u[i]} }

// Piece returns the index i of the linear piece between samples i and i+1 in
// which a rising charge z lies: at a sample, the piece that begins there. Past
// the ends it is the first or the last piece.
func (c *Curve) Piece(z float64) int {
	i := sort.SearchFloat64s(c.z, z)
	if i < len(c.z) && c.z[i] == z {
		i++
	}
	return min(max(i-1, 0), len(c.z)-2)
}

// Slope is dU/dz of piece i, in volts.
func (c *Curve) Slope(i int) float64 { return c.k[i] }

// Voltage is the open-circuit voltage at charge z. Below charge 0, where a
// deeply discharged cell rests, the curve goes on at its first slope; above
// charge 1 it stays.
func (c *Curve) Voltage(z float64) float64 {
	if z >= 1 {
		return c.u[len(c.u)-1]
	}
	i := c.Piece(z)
	return c.u[i] + (z-c.z[i])*c.Slope(i)
}

// Charge is the inverse of Voltage: the charge at which a rested cell shows u
// volts. It is negative for a deeply discharged cell, and at most 1.
func (c *Curve) Charge(u float64) float64 {
	n := len(c.u)
	if u >= c.u[n-1] {
		return 1
	}
	i := max(sort.SearchFloat64s(c.u, u), 1)
	return c.z[i-1] + (u-c.u[i-1])/(c.u[i]-c.u[i-1])*(c.z[i]-c.z[i-1])
}

// Integral is the integral of Voltage from 0 to z, in volts: times the
// capacity in coulombs it is the stored energy in joules.
func (c *Curve) Integral(z float64) float64 {
	z = min(z, 1)
	i := c.Piece(z)
	d := z - c.z[i]
	return c.w[i] + d*(c.u[i]+c.Slope(i)*d/2)
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
