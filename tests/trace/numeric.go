package trace

import (
	"math"
	"sort"
)

// The nodes and weights of the 7-point Gauss and 15-point Kronrod rules
// (R. Piessens et al., QUADPACK, 1983, routine QK15; from memory). The tests
// integrate polynomials with them up to the degree they are exact for.
func kronrod() (x, k, g []float64) {
	x = []float64{0.991455371120812639206854697526329, 0.949107912342758524526189684047851, 0.864864423359769072789712788640926, 0.741531185599394439863864773280788, 0.586087235467691130294144691693919, 0.405845151377397166906606412076961, 0.207784955007898467600689403773245, 0}
	k = []float64{0.022935322010529224963732008058970, 0.063092092629978553290700663189204, 0.104790010322250183839876322541518, 0.140653259715525918745189590510238, 0.169004726639267902826583426598550, 0.190350578064785409913256402421014, 0.204432940075298892414161999234649, 0.209482141084727828012999174891714}
	g = []float64{0, 0.129484966168869693270611432679082, 0, 0.279705391489276667901467771423780, 0, 0.381830050505118944950369775488975, 0, 0.417959183673469387755102040816327}
	return x, k, g
}

// quadrature is the integral of f from a to b, by halving until the two rules
// agree.
type quadrature struct{ x, k, g []float64 }

func newQuadrature() quadrature {
	x, k, g := kronrod()
	return quadrature{x, k, g}
}

func (q quadrature) rule(f func(float64) float64, a, b float64) (fine, coarse float64) {
	mid, half := (a+b)/2, (b-a)/2
	for i, x := range q.x {
		y := f(mid + half*x)
		if x != 0 {
			y += f(mid - half*x)
		}
		fine += q.k[i] * y
		coarse += q.g[i] * y
	}
	return fine * half, coarse * half
}

// integrate cuts the range ever finer toward both its ends before it looks, since
// a short stretch there, such as the last minutes of a charge, would fall between
// the points of a rule. finest is the length from which nothing is cut further.
func (q quadrature) integrate(f func(float64) float64, a, b, finest float64) float64 {
	if a == b {
		return 0
	}
	cuts := []float64{(a + b) / 2}
	for d := (b - a) / 4; d > finest; d /= 2 {
		cuts = append(cuts, a+d, b-d)
	}
	cuts = append(cuts, a, b)
	sort.Float64s(cuts)
	whole := 0.0
	for i := 1; i < len(cuts); i++ {
		fine, _ := q.rule(f, cuts[i-1], cuts[i])
		whole += math.Abs(fine)
	}
	sum := 0.0
	for i := 1; i < len(cuts); i++ {
		sum += q.halve(f, cuts[i-1], cuts[i], 1e-13*whole, 48)
	}
	return sum
}

// halve asks two things of a panel: that its two rules agree, and that its halves
// do, since a kink may lie where both rules miss it alike.
func (q quadrature) halve(f func(float64) float64, a, b, tolerance float64, depth int) float64 {
	fine, coarse := q.rule(f, a, b)
	mid := (a + b) / 2
	if math.Abs(fine-coarse) <= tolerance || depth == 0 {
		left, _ := q.rule(f, a, mid)
		right, _ := q.rule(f, mid, b)
		if math.Abs(left+right-fine) <= tolerance || depth == 0 {
			return left + right
		}
	}
	return q.halve(f, a, mid, tolerance, depth-1) + q.halve(f, mid, b, tolerance, depth-1)
}

// solve carries y from a to b by the method of Dormand and Prince (J. Comput.
// Appl. Math. 6, 19-26, 1980; from memory) with steps that keep the local error
// small. step is told each point that is reached.
func solve(f func(x, y float64) float64, a, y, b float64, step func(x, y float64)) float64 {
	const tolerance = 1e-11
	h := (b - a) / 64
	for a < b {
		h = min(h, b-a)
		k1 := f(a, y)
		k2 := f(a+h/5, y+h*k1/5)
		k3 := f(a+h*3/10, y+h*(3*k1/40+9*k2/40))
		k4 := f(a+h*4/5, y+h*(44*k1/45-56*k2/15+32*k3/9))
		k5 := f(a+h*8/9, y+h*(19372*k1/6561-25360*k2/2187+64448*k3/6561-212*k4/729))
		k6 := f(a+h, y+h*(9017*k1/3168-355*k2/33+46732*k3/5247+49*k4/176-5103*k5/18656))
		next := y + h*(35*k1/384+500*k3/1113+125*k4/192-2187*k5/6784+11*k6/84)
		k7 := f(a+h, next)
		off := math.Abs(h * (71*k1/57600 - 71*k3/16695 + 71*k4/1920 - 17253*k5/339200 + 22*k6/525 - k7/40))
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

// firstAt is the least x from a to b at which over(x) is 0 or more, or b: the
// first of an even grid, then the method of interpolating, truncating and
// projecting without its truncation (Oliveira and Takahashi, ACM Trans. Math.
// Softw. 47(1), 5, 2020; from memory): a false position that falls back on halving.
func firstAt(over func(float64) float64, a, b float64) float64 {
	const points = 32
	y := over(a)
	if y >= 0 || a >= b {
		return a
	}
	lo, hi, ylo, yhi := a, math.NaN(), y, 0.0
	for i := 1; i <= points; i++ {
		x := a + (b-a)*float64(i)/points
		if y := over(x); y >= 0 {
			hi, yhi = x, y
			break
		} else {
			lo, ylo = x, y
		}
	}
	if math.IsNaN(hi) {
		return b
	}
	for round := 0; ; round++ {
		mid := (lo + hi) / 2
		if mid <= lo || mid >= hi || yhi == 0 {
			return hi
		}
		x := mid
		if round%3 != 2 && !math.IsInf(yhi, 0) {
			x = lo + (hi-lo)*ylo/(ylo-yhi)
			if round%3 == 1 { // step across, so that both ends close in
				x += (x - lo) * 1e-9
			}
			if x <= lo || x >= hi {
				x = mid
			}
		}
		if y := over(x); y >= 0 {
			hi, yhi = x, y
		} else {
			lo, ylo = x, y
		}
	}
}

// peak is the largest value of f from a to b, and where: the best of a grid, then
// golden section between its neighbors.
func peak(f func(float64) float64, a, b float64, grid, golds int) (best, at float64) {
	best, at = math.Inf(-1), a
	try := func(x float64) float64 {
		y := f(x)
		if y > best {
			best, at = y, x
		}
		return y
	}
	for i := range grid + 1 {
		try(a + (b-a)*float64(i)/float64(grid))
	}
	lo, hi := max(a, at-(b-a)/float64(grid)), min(b, at+(b-a)/float64(grid))
	golden := (math.Sqrt(5) - 1) / 2
	x1, x2 := hi-golden*(hi-lo), lo+golden*(hi-lo)
	y1, y2 := try(x1), try(x2)
	for range golds {
		if y1 < y2 {
			lo, x1, y1 = x1, x2, y2
			x2 = lo + golden*(hi-lo)
			y2 = try(x2)
		} else {
			hi, x2, y2 = x2, x1, y1
			x1 = hi - golden*(hi-lo)
			y1 = try(x1)
		}
	}
	return best, at
}

// known is a sum or a solution as far as it was carried, so that a further end
// goes on from the nearest one behind it.
type known struct{ x, y []float64 }

func (k *known) before(x float64) (x0, y0 float64) {
	i := sort.SearchFloat64s(k.x, x)
	if i < len(k.x) && k.x[i] == x {
		return k.x[i], k.y[i]
	}
	return k.x[i-1], k.y[i-1]
}

func (k *known) put(x, y float64) {
	i := sort.SearchFloat64s(k.x, x)
	if i < len(k.x) && k.x[i] == x {
		return
	}
	k.x = append(k.x, 0)
	k.y = append(k.y, 0)
	copy(k.x[i+1:], k.x[i:])
	copy(k.y[i+1:], k.y[i:])
	k.x[i], k.y[i] = x, y
}
