package trace

import "math"

func operators(op string) func(a, b float64) float64 {
	is := func(yes bool) float64 {
		if yes {
			return 1
		}
		return 0
	}
	switch op {
	case "+":
		return func(a, b float64) float64 { return a + b }
	case "-":
		return func(a, b float64) float64 { return a - b }
	case "*":
		return func(a, b float64) float64 { return a * b }
	case "/":
		return func(a, b float64) float64 { return a / b }
	case "^":
		return math.Pow
	case "<":
		return func(a, b float64) float64 { return is(a < b) }
	case "<=":
		return func(a, b float64) float64 { return is(a <= b) }
	case ">":
		return func(a, b float64) float64 { return is(a > b) }
	case ">=":
		return func(a, b float64) float64 { return is(a >= b) }
	}
	panic("no operator " + op)
}

// plain are the functions of values alone.
func plain(name string, args []value) value {
	a := args[0]
	switch name {
	case "list":
		out := make([]float64, len(args))
		for i := range args {
			if args[i].list {
				panic("a list in a list")
			}
			out[i] = args[i].x
		}
		return listOf(out)
	case "entry":
		return number(a.xs[int(args[1].x)])
	case "sums":
		out := append([]float64{}, a.xs...)
		for i := 1; i < len(out); i++ {
			out[i] += out[i-1]
		}
		return listOf(out)
	}
	if len(args) == 1 {
		switch name {
		case "min", "max", "sum", "mean", "median":
			return number(reduce(name, a.all()))
		}
		f, known := map[string]func(float64) float64{
			"exp": math.Exp, "expm1": math.Expm1, "ln": math.Log, "ln1p": math.Log1p, "sqrt": math.Sqrt, "floor": math.Floor, "ceil": math.Ceil, "abs": math.Abs, "round9": nineDigits,
		}[name]
		if !known {
			panic("no function " + name)
		}
		return one(f, a)
	}
	switch name {
	case "min", "max":
		return each(func(xs []float64) float64 { return reduce(name, xs) }, args...)
	case "repeat":
		out := make([]float64, int(args[1].x))
		for i := range out {
			out[i] = a.x
		}
		return listOf(out)
	case "range":
		var out []float64
		for x := a.x; x <= args[1].x; x++ {
			out = append(out, x)
		}
		return listOf(out)
	}
	panic("no function " + name)
}

func reduce(name string, xs []float64) float64 {
	switch name {
	case "sum":
		return sumOf(xs)
	case "mean":
		return sumOf(xs) / float64(len(xs))
	case "median":
		return medianOf(xs)
	}
	best := xs[0]
	for _, x := range xs[1:] {
		if name == "min" {
			best = min(best, x)
		} else {
			best = max(best, x)
		}
	}
	return best
}

// nineDigits rounds half away from zero.
func nineDigits(x float64) float64 {
	if x == 0 {
		return 0
	}
	p := math.Pow(10, 8-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*p) / p
}
