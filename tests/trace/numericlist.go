package trace

import (
	"math"
	"sort"
)

// solveList is solve for several unknowns at once. The local error is held to a share of
// each, or of 1 where it is smaller: an energy of thousands of joules has no more digits.
func solveList(f func(x float64, y []float64) []float64, a float64, y []float64, b float64, step func(x float64, y []float64)) []float64 {
	const tolerance = 1e-13
	// The tableau of Dormand and Prince, as in solve.
	c := []float64{0, 1. / 5, 3. / 10, 4. / 5, 8. / 9, 1, 1}
	rows := [][]float64{
		{},
		{1. / 5},
		{3. / 40, 9. / 40},
		{44. / 45, -56. / 15, 32. / 9},
		{19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
		{9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
		{35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84},
	}
	wrong := []float64{71. / 57600, 0, -71. / 16695, 71. / 1920, -17253. / 339200, 22. / 525, -1. / 40}
	h := (b - a) / 64
	k := make([][]float64, 7)
	for a < b {
		h = min(h, b-a)
		var next []float64
		for i := range rows {
			at := append([]float64{}, y...)
			for j, r := range rows[i] {
				for n := range at {
					at[n] += h * r * k[j][n]
				}
			}
			k[i] = f(a+h*c[i], at)
			next = at
		}
		off := 0.0
		for n := range y {
			e := 0.0
			for i := range wrong {
				e += h * wrong[i] * k[i][n]
			}
			off = max(off, math.Abs(e)/max(1, math.Abs(y[n]), math.Abs(next[n])))
			if math.IsNaN(e) {
				panic("the solution leaves the numbers")
			}
		}
		if off <= tolerance || h <= 1e-13*(math.Abs(a)+h) {
			if h == b-a {
				a = b
			} else {
				a += h
			}
			y = next
			step(a, y)
		}
		h *= min(4, max(0.2, 0.9*math.Pow(tolerance/max(off, 1e-300), 0.2)))
	}
	return y
}

// knownList is known for several unknowns.
type knownList struct {
	x []float64
	y [][]float64
}

func (k *knownList) before(x float64) (x0 float64, y0 []float64) {
	i := sort.SearchFloat64s(k.x, x)
	if i < len(k.x) && k.x[i] == x {
		return k.x[i], k.y[i]
	}
	return k.x[i-1], k.y[i-1]
}

func (k *knownList) put(x float64, y []float64) {
	i := sort.SearchFloat64s(k.x, x)
	if i < len(k.x) && k.x[i] == x {
		return
	}
	k.x = append(k.x, 0)
	k.y = append(k.y, nil)
	copy(k.x[i+1:], k.x[i:])
	copy(k.y[i+1:], k.y[i:])
	k.x[i], k.y[i] = x, y
}
