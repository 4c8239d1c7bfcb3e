package charge

import (
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// How a plan was worked out is told by names: the fields of the request by
// their path (pack.capacity_mah), what a parallel board makes of several packs as
// joined.…, parameters as chemistry.…, constant.… and rule.…, and the steps of the
// plan as they are described in the explain_….go files beside the code they
// explain. The values are those that the plan was made of; nothing is worked out
// again here but what the plan did not keep.

// explainer describes the steps of one plan.
type explainer struct {
	w     *work
	judge *rule.Judge
	given map[string]any // the request
	book  map[string]spec.TraceNode
	trace *trace.Builder
}

func (w *work) explain(judge *rule.Judge) []spec.TraceNode {
	e := &explainer{w: w, judge: judge, given: asMap(w.q), book: map[string]spec.TraceNode{}}
	e.trace = trace.NewBuilder(e.find)
	e.parameters()
	e.joined()
	e.model()
	e.limits()
	if w.limits.current > 0 {
		if w.facts.Chemistry.Curve != nil {
			e.functions()
			e.charge()
			e.span()
		} else {
			e.nickel()
		}
	}
	e.answer()
	return e.trace.Nodes()
}

// asMap is a document as a JSON object. A request that was read from JSON can
// always be written as such.
func asMap(q *Request) map[string]any {
	b, err := json.Marshal(q)
	if err != nil {
		return nil
	}
	var m map[string]any
	if json.Unmarshal(b, &m) != nil {
		return nil
	}
	return m
}

// find is the book of the plan's steps.
func (e *explainer) find(id string) (spec.TraceNode, bool) {
	if n, known := e.book[id]; known {
		return n, true
	}
	space, name, _ := strings.Cut(id, ".")
	if space == "rule" {
		return e.level(name)
	}
	return e.field(id)
}

// parameters describes the constants, and the values of each chemistry that the
// request names.
func (e *explainer) parameters() {
	for _, list := range [][]cell.Constant{cell.Constants(), rule.Constants(), constants()} {
		e.describe("constant.", list)
	}
	e.chemistry(e.w.facts.Chemistry)
	for _, p := range e.w.boardPacks() {
		e.chemistry(e.w.facts.Chemistries.Get(p.Chemistry))
	}
}

func (e *explainer) chemistry(c *cell.Chemistry) {
	space := "chemistry." + string(c.Name) + "."
	e.describe(space, c.Parameters())
	if c.Curve == nil {
		return
	}
	n := spec.TraceNode{Kind: spec.TraceCurve, Arguments: []string{"z"}, Unit: "v", Says: "rested voltage of a cell against its charge", Source: &c.CurveFrom.Source}
	for i := range c.Curve.Len() {
		s := c.Curve.At(i)
		n.Points = append(n.Points, spec.TracePoint{X: s.Charge, Y: s.Volt})
	}
	e.book[space+"open_circuit"] = n
}

// describe puts parameters into the book.
func (e *explainer) describe(space string, list []cell.Constant) {
	for i := range list {
		c := &list[i]
		e.book[space+c.Name] = spec.TraceNode{Kind: spec.TraceParameter, Value: &c.Value, Unit: c.Unit, Says: c.Says, Source: &c.Source}
	}
}

// level is the limit of a rule's level: the rule's id with _ for -, and the
// number of the level.
func (e *explainer) level(name string) (spec.TraceNode, bool) {
	id, level, _ := strings.Cut(name, ".limit_")
	r := e.judge.Rule(strings.ReplaceAll(id, "_", "-"))
	i, err := strconv.Atoi(level)
	if r == nil || err != nil || i >= len(r.Levels) || r.Levels[i].Limit == nil {
		return spec.TraceNode{}, false
	}
	source := r.Source
	return spec.TraceNode{
		Kind: spec.TraceParameter, Value: r.Levels[i].Limit, Unit: r.Levels[i].Unit, Source: &source,
		Says: "the limit of rule " + r.ID + " for " + string(r.Levels[i].Severity),
	}, true
}

// field is a number of the request, or one that it left out and that was
// assumed.
func (e *explainer) field(path string) (spec.TraceNode, bool) {
	pointer := "/" + strings.ReplaceAll(path, ".", "/")
	unit := unitOf(path)
	switch v := lookUp(e.given, strings.Split(path, ".")).(type) {
	case float64:
		return spec.TraceNode{Kind: spec.TraceGiven, Field: pointer, Value: &v, Unit: unit}, true
	case string:
		if day, is := spec.Date(v).Day(); is {
			x := float64(day)
			return spec.TraceNode{Kind: spec.TraceGiven, Field: pointer, Value: &x, Unit: "days", Says: "days since 1970-01-01"}, true
		}
	case []any:
		n := spec.TraceNode{Kind: spec.TraceGiven, Field: pointer, Unit: unit}
		for _, x := range v {
			if f, is := x.(float64); is {
				n.Values = append(n.Values, f)
			}
		}
		return n, true
	}
	for i := range e.w.plan.Assumed {
		a := &e.w.plan.Assumed[i]
		if x, is := a.Value.(float64); is && a.Field == pointer {
			return assumedNode(a, x, ""), true
		}
	}
	return spec.TraceNode{}, false
}

func lookUp(v any, path []string) any {
	for _, name := range path {
		switch x := v.(type) {
		case map[string]any:
			v = x[name]
		case []any:
			i, err := strconv.Atoi(name)
			if err != nil || i >= len(x) {
				return nil
			}
			v = x[i]
		default:
			return nil
		}
	}
	return v
}

// unitOf is the unit that the last name of a path ends in.
func unitOf(path string) string {
	name := path[strings.LastIndexByte(path, '.')+1:]
	if suffix := spec.SuffixOf(name); suffix != "" {
		return suffix
	}
	return "count"
}

// assumedNode is a value that the request left out; formula says how it was
// worked out, where it was.
func assumedNode(a *spec.Assumed, x float64, formula string) spec.TraceNode {
	source := a.Source
	return spec.TraceNode{
		Kind: spec.TraceAssumed, Field: a.Field, Formula: formula, Value: &x, Unit: unitOf(strings.ReplaceAll(a.Field, "/", ".")),
		Says: a.Why, Source: &source,
	}
}

// set describes a step that is a number.
func (e *explainer) set(id, unit string, value float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceComputed, Unit: unit, Value: &value, Formula: e.named(formula)}
}

// search describes a step that a search found.
func (e *explainer) search(id, unit string, value float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceSearched, Unit: unit, Value: &value, Formula: e.named(formula)}
}

// list describes a step that is a list.
func (e *explainer) list(id, unit string, values []float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceComputed, Unit: unit, Values: values, Formula: e.named(formula)}
}

// function describes a step that is a function; arguments are single letters.
func (e *explainer) function(id, arguments, unit, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceFunction, Arguments: strings.Split(arguments, " "), Unit: unit, Formula: e.named(formula)}
}

// show describes a number of the answer and shows it.
func (e *explainer) show(at, id, unit string, value float64, formula string) {
	e.set(id, unit, value, formula)
	e.trace.Show(at, id)
}

// assumed gives the formula, and the value before rounding, of an assumption
// that was worked out.
func (e *explainer) assumed(path string, value float64, formula string) {
	pointer := "/" + strings.ReplaceAll(path, ".", "/")
	for i := range e.w.plan.Assumed {
		if a := &e.w.plan.Assumed[i]; a.Field == pointer {
			e.book[e.assumedID(path)] = assumedNode(a, value, e.named(formula))
		}
	}
}

// assumedID is the name of an assumption: on a parallel board it is one about all
// packs together, and the first may well give the value for itself.
func (e *explainer) assumedID(path string) string {
	if field, of := strings.CutPrefix(path, "pack."); of && e.w.pack != &e.w.q.Pack {
		return "joined." + field
	}
	return path
}

// named writes a formula's short names out: chem.… is the pack's chemistry, and
// whole.… what a parallel board makes of the packs where there is one.
func (e *explainer) named(formula string) string {
	return trace.Rename(formula, func(name string) string {
		space, field, _ := strings.Cut(name, ".")
		switch space {
		case "chem":
			return "chemistry." + string(e.w.facts.Chemistry.Name) + "." + field
		case "whole":
			if _, joined := e.book["joined."+field]; joined {
				return "joined." + field
			}
			return "pack." + field
		}
		return name
	})
}

// constants are those of the planner: what is done at the bench, and where its
// own searches look.
func constants() []cell.Constant {
	c := func(name, unit string, x float64, says string, source spec.Source) cell.Constant {
		return cell.Constant{Name: name, Unit: unit, Says: says, Param: cell.Param{Value: x, Source: source}}
	}
	practice := func(name, unit string, x float64, says string) cell.Constant {
		return c(name, unit, x, says, spec.Practice(says))
	}
	derived := func(name, unit string, x float64, says, from string) cell.Constant {
		return c(name, unit, x, says, spec.Source{Kind: spec.Derived, Title: from})
	}
	const sign = "the sign of the derivative of the time by the resistance, (ln(c/c_end) - 1)/k on a linear curve"
	return []cell.Constant{
		practice("gentle_c_rate", "c_rate", gentleC, "0.5 C is the gentle rate"),
		practice("everyday_c_rate", "c_rate", everydayC, "1 C is the everyday rate"),
		practice("assumed_step_a", "a", assumedStepA, "hobby chargers are set in tenths of an ampere"),
		practice("time_step_min", "min", timeStepMin, "a time limit is set in steps of five minutes"),
		practice("clock_step_min", "min", clockStepMin, "the clock that ends a charge is set to the minute"),
		practice("cutoff_step_mah", "mah", cutoffStepMAh, "a charge cut-off is set in steps of 10 mAh"),
		practice("surely_earlier", "ratio", surelyEarlier, "the voltage drop may end a nimh charge 5 % before its least time"),
		derived("far_from_taper", "ratio", farAbove, "from this multiple of the taper on more resistance surely lengthens a charge", sign+", is positive above e = 2.718 times the taper"),
		derived("far_from_full", "ratio", farFull, "while every cell begins below this charge", sign+", where the curve is nearly linear from there on"),
		derived("far_from_top_v", "v", farTop, "and no cell lies more than this above its rested voltage", sign+", where the curve is nearly linear from there on"),
		derived("last_of_curve", "ratio", sim.LastOfCurve, "an overcharged cell goes on at the slope of the curve's last hundredth", "the open-circuit curve, continued"),
		derived("search_grid", "count", float64(thorough().grid), "the even steps with which a search over the range of resistance begins", "the grid is a choice of this service; golden section follows between the neighbors of its best point"),
	}
}
