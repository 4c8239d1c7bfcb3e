package trace

import (
	"encoding/binary"
	"math"
	"slices"
)

// value is a number or a list of numbers.
type value struct {
	list bool
	x    float64
	xs   []float64
}

func number(x float64) value { return value{x: x} }

func listOf(xs []float64) value { return value{list: true, xs: xs} }

func truth(b bool) value {
	if b {
		return number(1)
	}
	return number(0)
}

func (v value) at(i int) float64 {
	if v.list {
		return v.xs[i]
	}
	return v.x
}

// all is the value as a list.
func (v value) all() []float64 {
	if v.list {
		return v.xs
	}
	return []float64{v.x}
}

// key tells values apart, to the last bit.
func (v value) key(b []byte) []byte {
	for _, x := range v.all() {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
	}
	return append(b, byte(len(v.xs)))
}

// each combines values entry by entry.
func each(f func(xs []float64) float64, vs ...value) value {
	n := -1
	for _, v := range vs {
		if v.list {
			n = max(n, len(v.xs))
		}
	}
	row := make([]float64, len(vs))
	if n < 0 {
		for i, v := range vs {
			row[i] = v.x
		}
		return number(f(row))
	}
	out := make([]float64, n)
	for k := range out {
		for i, v := range vs {
			row[i] = v.at(k)
		}
		out[k] = f(row)
	}
	return listOf(out)
}

func pair(f func(a, b float64) float64, a, b value) value {
	if !a.list && !b.list {
		return number(f(a.x, b.x))
	}
	return each(func(xs []float64) float64 { return f(xs[0], xs[1]) }, a, b)
}

func one(f func(float64) float64, a value) value {
	if !a.list {
		return number(f(a.x))
	}
	return each(func(xs []float64) float64 { return f(xs[0]) }, a)
}

func sumOf(xs []float64) float64 {
	s := 0.0
	for _, x := range xs {
		s += x
	}
	return s
}

func medianOf(xs []float64) float64 {
	s := slices.Sorted(slices.Values(xs))
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}
