package trace

import (
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Explainer describes how one answer was worked out, by names: the fields of the
// request by their path (pack.capacity_mah), what a parallel board makes of several
// packs as joined.…, parameters as chemistry.…, constant.… and rule.…, and the
// steps that the question describes. In a formula chem.… stands for the pack's
// chemistry, and whole.… for what a parallel board makes of the packs, or else for
// the pack.
//
// The values are those that the answer was made of; nothing is worked out again
// but what it did not keep.
type Explainer struct {
	*Builder

	chemistry *cell.Chemistry
	assumed   []spec.Assumed
	judge     *rule.Judge
	given     map[string]any // the request
	book      map[string]spec.TraceNode
}

// NewExplainer begins the trace of an answer to a request about a pack of a
// chemistry; assumed is what the answer lists as such, and judge judged it.
func NewExplainer(request any, c *cell.Chemistry, assumed []spec.Assumed, judge *rule.Judge) *Explainer {
	e := &Explainer{chemistry: c, assumed: assumed, judge: judge, given: asMap(request), book: map[string]spec.TraceNode{}}
	e.Builder = NewBuilder(e.find)
	for _, list := range [][]cell.Constant{cell.Constants(), rule.Constants()} {
		e.Describe("constant.", list)
	}
	e.DescribeChemistry(c)
	return e
}

// asMap is a document as a JSON object. A request that was read from JSON can
// always be written as such.
func asMap(q any) map[string]any {
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

// find is the book of the steps.
func (e *Explainer) find(id string) (spec.TraceNode, bool) {
	if n, known := e.book[id]; known {
		return n, true
	}
	space, name, _ := strings.Cut(id, ".")
	if space == "rule" {
		return e.level(name)
	}
	return e.field(id)
}

// DescribeChemistry describes the values of a chemistry.
func (e *Explainer) DescribeChemistry(c *cell.Chemistry) {
	space := "chemistry." + string(c.Name) + "."
	e.Describe(space, c.Parameters())
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

// Describe puts parameters into the book, under names that begin with space.
func (e *Explainer) Describe(space string, list []cell.Constant) {
	for i := range list {
		c := &list[i]
		e.book[space+c.Name] = spec.TraceNode{Kind: spec.TraceParameter, Value: &c.Value, Unit: c.Unit, Says: c.Says, Source: &c.Source}
	}
}

// DescribeList puts a parameter that is a list into the book.
func (e *Explainer) DescribeList(id, unit string, values []float64, says string, source spec.Source) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceParameter, Values: values, Unit: unit, Says: says, Source: &source}
}

// Adopt takes over the trace of another answer that this one is made of, and shows
// those of its numbers that shown lets through, at the places where they stand there.
func (e *Explainer) Adopt(nodes []spec.TraceNode, shown func(at string) bool) {
	for _, n := range nodes {
		n.At, n.Inputs = nil, nil
		e.book[n.ID] = n
	}
	for _, n := range nodes {
		for _, at := range n.At {
			if shown(at) {
				e.Show(at, n.ID)
			}
		}
	}
}

// level is the limit of a rule's level: the rule's id with _ for -, and the
// number of the level.
func (e *Explainer) level(name string) (spec.TraceNode, bool) {
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
func (e *Explainer) field(path string) (spec.TraceNode, bool) {
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
	for i := range e.assumed {
		a := &e.assumed[i]
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

// Set describes a step that is a number.
func (e *Explainer) Set(id, unit string, value float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceComputed, Unit: unit, Value: &value, Formula: e.named(formula)}
}

// Search describes a step that a search found.
func (e *Explainer) Search(id, unit string, value float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceSearched, Unit: unit, Value: &value, Formula: e.named(formula)}
}

// List describes a step that is a list.
func (e *Explainer) List(id, unit string, values []float64, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceComputed, Unit: unit, Values: values, Formula: e.named(formula)}
}

// Values are those of a list that was described.
func (e *Explainer) Values(id string) []float64 { return e.book[id].Values }

// Function describes a step that is a function; arguments are single letters,
// parted by spaces.
func (e *Explainer) Function(id, arguments, unit, formula string) {
	e.book[id] = spec.TraceNode{Kind: spec.TraceFunction, Arguments: strings.Split(arguments, " "), Unit: unit, Formula: e.named(formula)}
}

// SetShown describes a number of the answer and shows it at a JSON Pointer.
func (e *Explainer) SetShown(at, id, unit string, value float64, formula string) {
	e.Set(id, unit, value, formula)
	e.Show(at, id)
}

// ListShown describes a list of the answer and shows it.
func (e *Explainer) ListShown(at, id, unit string, values []float64, formula string) {
	e.List(id, unit, values, formula)
	e.Show(at, id)
}

// Assumption gives the formula, and the value before rounding, of an assumption
// that was worked out; path is that of the field.
func (e *Explainer) Assumption(path string, value float64, formula string) {
	pointer := "/" + strings.ReplaceAll(path, ".", "/")
	for i := range e.assumed {
		if a := &e.assumed[i]; a.Field == pointer {
			e.book[e.assumptionID(path)] = assumedNode(a, value, e.named(formula))
		}
	}
}

// assumptionID is the name of an assumption: on a parallel board it is one about
// all packs together, and the first may well give the value for itself.
func (e *Explainer) assumptionID(path string) string {
	if field, of := strings.CutPrefix(path, "pack."); of && e.joined() {
		return "joined." + field
	}
	return path
}

// joined says whether the packs of a parallel board were described.
func (e *Explainer) joined() bool {
	_, joined := e.book["joined.capacity_mah"]
	return joined
}

// ShowAssumed shows each number of the answer's list of assumptions.
func (e *Explainer) ShowAssumed() {
	for i := range e.assumed {
		if _, number := e.assumed[i].Value.(float64); number {
			path := strings.ReplaceAll(strings.TrimPrefix(e.assumed[i].Field, "/"), "/", ".")
			if _, worked := e.book[e.assumptionID(path)]; worked {
				path = e.assumptionID(path)
			}
			e.Show("/assumed/"+strconv.Itoa(i)+"/value", path)
		}
	}
}

// named writes a formula's short names out.
func (e *Explainer) named(formula string) string {
	return Rename(formula, func(name string) string {
		space, field, _ := strings.Cut(name, ".")
		switch space {
		case "chem":
			return "chemistry." + string(e.chemistry.Name) + "." + field
		case "whole":
			if _, joined := e.book["joined."+field]; joined {
				return "joined." + field
			}
			return "pack." + field
		}
		return name
	})
}
