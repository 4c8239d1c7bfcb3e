package trace

import (
	"fmt"
	"math"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// world is a trace that formulas are evaluated in.
type world struct {
	nodes  map[string]*spec.TraceNode
	parsed map[string]*expr
	count  int
	quad   quadrature
	memo   map[string]value
	carry  map[string]*known
	lists  map[string]*knownList
	hint   float64 // what the node being recomputed holds, for what a search found
}

func newWorld(nodes []spec.TraceNode) *world {
	w := &world{
		nodes: map[string]*spec.TraceNode{}, parsed: map[string]*expr{}, quad: newQuadrature(),
		memo: map[string]value{}, carry: map[string]*known{}, lists: map[string]*knownList{}, hint: math.NaN(),
	}
	for i := range nodes {
		w.nodes[nodes[i].ID] = &nodes[i]
	}
	return w
}

// scope binds the names of one letter.
type scope struct {
	name  string
	value value
	up    *scope
}

func (s *scope) with(name string, v value) *scope { return &scope{name, v, s} }

func (s *scope) find(name string) value {
	for ; s != nil; s = s.up {
		if s.name == name {
			return s.value
		}
	}
	panic("nothing is called " + name)
}

// key tells scopes apart but for one name.
func (s *scope) key(except string) string {
	var b []byte
	for ; s != nil; s = s.up {
		if s.name != except {
			b = s.value.key(append(b, s.name...))
		}
	}
	return string(b)
}

// recompute works a node's formula out anew, from the values of its inputs.
func (w *world) recompute(n *spec.TraceNode) (v value, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%s = %s: %v", n.ID, n.Formula, r)
		}
	}()
	e, err := w.formula(n)
	if err != nil {
		return value{}, err
	}
	w.hint = math.NaN()
	if n.Value != nil {
		w.hint = *n.Value
	}
	return w.eval(e, nil), nil
}

func (w *world) formula(n *spec.TraceNode) (*expr, error) {
	if e := w.parsed[n.ID]; e != nil {
		return e, nil
	}
	e, err := parse(n.Formula, &w.count)
	if err != nil {
		return nil, err
	}
	w.parsed[n.ID] = e
	return e, nil
}

func (w *world) eval(e *expr, s *scope) value {
	switch e.op {
	case "num":
		return number(e.num)
	case "name":
		return w.name(e.name, s)
	case "call":
		return w.call(e, s)
	case "and":
		return truth(w.eval(e.args[0], s).x != 0 && w.eval(e.args[1], s).x != 0)
	case "or":
		return truth(w.eval(e.args[0], s).x != 0 || w.eval(e.args[1], s).x != 0)
	}
	return pair(operators(e.op), w.eval(e.args[0], s), w.eval(e.args[1], s))
}

func (w *world) name(name string, s *scope) value {
	if name == "pi" {
		return number(math.Pi)
	}
	if len(name) == 1 {
		return s.find(name)
	}
	n := w.nodes[name]
	switch {
	case n == nil:
		panic("no node " + name)
	case n.Value != nil:
		return number(*n.Value)
	case n.Values != nil:
		return listOf(n.Values)
	}
	panic(name + " has no value")
}

// node calls a node that is a function.
func (w *world) node(n *spec.TraceNode, args []value) value {
	if n.Kind == spec.TraceCurve {
		return one(func(z float64) float64 { return onCurve(n.Points, z) }, args[0])
	}
	if len(args) != len(n.Arguments) {
		panic(fmt.Sprintf("%s takes %d arguments", n.ID, len(n.Arguments)))
	}
	for i, name := range n.Arguments {
		if args[i].list && (name == "t" || name == "u") { // worked out for each entry
			return one(func(x float64) float64 {
				row := append([]value{}, args...)
				row[i] = number(x)
				return w.node(n, row).x
			}, args[i])
		}
	}
	e, err := w.formula(n)
	if err != nil {
		panic(err)
	}
	var s *scope
	for i, name := range n.Arguments {
		s = s.with(name, args[i])
	}
	if moves(n.Arguments) {
		return w.eval(e, s)
	}
	key := n.ID + s.key("")
	v, known := w.memo[key]
	if !known {
		v = w.eval(e, s)
		w.memo[key] = v
	}
	return v
}

// moves says whether a function is one of the charge that has passed or of time:
// it is hardly asked for the same twice, so what it gives is not remembered.
func moves(arguments []string) bool { return strings.ContainsAny(arguments[0], "qztu") }

func onCurve(points []spec.TracePoint, z float64) float64 {
	if z >= 1 {
		return points[len(points)-1].Y
	}
	i, j := 0, len(points)-1
	for j-i > 1 {
		if mid := (i + j) / 2; points[mid].X <= z {
			i = mid
		} else {
			j = mid
		}
	}
	a, b := points[i], points[i+1]
	return a.Y + (z-a.X)*(b.Y-a.Y)/(b.X-a.X)
}

func (w *world) call(e *expr, s *scope) value {
	if n := w.nodes[e.name]; n != nil {
		args := make([]value, len(e.args))
		for i := range args {
			args[i] = w.eval(e.args[i], s)
		}
		return w.node(n, args)
	}
	arg := func(i int) value { return w.eval(e.args[i], s) }
	variable := func(i int) string { return e.args[i].name }
	at := func(i, v int) func(float64) float64 { // argument i as a function of the variable v
		return func(x float64) float64 { return w.eval(e.args[i], s.with(variable(v), number(x))).x }
	}
	switch e.name {
	case "if":
		return w.choose(e, s)
	case "integral":
		return w.integral(e, s)
	case "ode":
		return w.ode(e, s)
	case "first":
		return number(firstAt(w.over(e, s), arg(2).x, arg(3).x))
	case "greatest":
		best, _ := peak(at(0, 1), arg(2).x, arg(3).x, 48, 56)
		return number(best)
	case "largest":
		best := math.Inf(-1)
		for _, x := range arg(2).all() {
			best = max(best, at(0, 1)(x))
		}
		return number(best)
	case "argmax":
		return number(w.extreme(at(0, 1), arg(2).x, arg(3).x))
	case "argmin":
		return number(w.extreme(func(x float64) float64 { return -at(0, 1)(x) }, arg(2).x, arg(3).x))
	case "first_step", "last_step":
		return number(w.step(e.name == "first_step", at(0, 1), arg(2).x, arg(3).x))
	}
	args := make([]value, len(e.args))
	for i := range args {
		args[i] = arg(i)
	}
	return plain(e.name, args)
}

// choose works out only the part that holds, or both where the condition is a
// list.
func (w *world) choose(e *expr, s *scope) value {
	c := w.eval(e.args[0], s)
	if c.list {
		return each(func(xs []float64) float64 {
			if xs[0] != 0 {
				return xs[1]
			}
			return xs[2]
		}, c, w.eval(e.args[1], s), w.eval(e.args[2], s))
	}
	if c.x != 0 {
		return w.eval(e.args[1], s)
	}
	return w.eval(e.args[2], s)
}

// over is by how much the condition of first holds, negative where it does not.
func (w *world) over(e *expr, s *scope) func(float64) float64 {
	condition, name := e.args[0], e.args[1].name
	side := func(i int, x float64) float64 { return w.eval(condition.args[i], s.with(name, number(x))).x }
	switch condition.op {
	case ">=":
		return func(x float64) float64 { return side(0, x) - side(1, x) }
	case "<=":
		return func(x float64) float64 { return side(1, x) - side(0, x) }
	}
	panic("first takes a comparison")
}

// extreme is where f is largest: the place the trace names, if nothing found
// here is better by more than 1e-9, else the better place.
func (w *world) extreme(f func(float64) float64, a, b float64) float64 {
	best, at := peak(f, a, b, 24, 30)
	if w.hint >= a*(1-1e-12) && w.hint <= b*(1+1e-12) && f(w.hint) >= best-1e-9*math.Abs(best) {
		return w.hint
	}
	return at
}

// step is the first, or the last, whole number at which the condition holds: the
// one the trace names, where its neighbor bears it out.
func (w *world) step(first bool, holds func(float64) float64, a, b float64) float64 {
	toward := -1.0
	if !first {
		toward = 1
	}
	if k := w.hint; k >= a && k <= b && holds(k) != 0 {
		if next := k + toward; next < a || next > b || holds(next) == 0 {
			return k
		}
	}
	return math.NaN()
}

func (w *world) remembered(e *expr, s *scope, name string, a, y float64) *known {
	key := fmt.Sprint(e.id) + s.key(name)
	k := w.carry[key]
	if k == nil {
		k = &known{x: []float64{a}, y: []float64{y}}
		w.carry[key] = k
	}
	return k
}

func (w *world) integral(e *expr, s *scope) value {
	name := e.args[1].name
	f := func(x float64) float64 { return w.eval(e.args[0], s.with(name, number(x))).x }
	return pair(func(a, b float64) float64 {
		if b < a {
			return -w.quad.integrate(f, b, a, 1e-6*(a-b))
		}
		k := w.remembered(e, s.with("_", number(a)), name, a, 0)
		x0, y0 := k.before(b)
		y := y0 + w.quad.integrate(f, x0, b, 1e-6*(b-a))
		k.put(b, y)
		return y
	}, w.eval(e.args[2], s), w.eval(e.args[3], s))
}

// ode is ode(f, y, y0, x, a, b). What was carried is remembered by all that
// the solution depends on, which its end does not belong to.
func (w *world) ode(e *expr, s *scope) value {
	y, x := e.args[1].name, e.args[3].name
	start, a, b := w.eval(e.args[2], s), w.eval(e.args[4], s).x, w.eval(e.args[5], s).x
	end := "q"
	if name := e.args[5].name; e.args[5].op == "name" && len(name) == 1 {
		end = name
	}
	if start.list {
		f := func(at float64, now []float64) []float64 {
			return w.eval(e.args[0], s.with(y, listOf(now)).with(x, number(at))).xs
		}
		key := fmt.Sprint(e.id) + s.with("_", start).key(end)
		k := w.lists[key]
		if k == nil {
			k = &knownList{x: []float64{a}, y: [][]float64{start.xs}}
			w.lists[key] = k
		}
		x0, y0 := k.before(b)
		return listOf(solveList(f, x0, y0, b, k.put))
	}
	f := func(at, now float64) float64 {
		return w.eval(e.args[0], s.with(y, number(now)).with(x, number(at))).x
	}
	k := w.remembered(e, s.with("_", start), end, a, start.x)
	x0, y0 := k.before(b)
	return number(solve(f, x0, y0, b, k.put))
}
