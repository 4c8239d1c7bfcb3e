package trace

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// tolerance is relative: the planner's closed forms and the numerical methods
// here both carry some thirteen digits, and a difference of two large numbers
// loses some of them, which is what the share of the largest input is for.
const tolerance = 1e-9

// Complaints are all that is wrong with the trace of an answer that was asked for
// by the JSON text body; light leaves out the nodes that take long to recompute.
func Complaints(body string, answer any, nodes []spec.TraceNode, light bool) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	w := newWorld(nodes)
	seen := map[string]bool{}
	for i := range nodes {
		n := &nodes[i]
		if seen[n.ID] {
			say("%s stands twice", n.ID)
		}
		rooted(n, seen, body, say)
		seen[n.ID] = true
		if n.Formula == "" || n.Kind == spec.TraceFunction || light && w.heavy(n) {
			continue
		}
		v, err := w.recompute(n)
		if err != nil {
			say("%v", err)
			continue
		}
		if far := apart(n, v, w); far > tolerance {
			say("%s = %s is %v, and the formula gives %v (%.1e apart)", n.ID, n.Formula, valueOf(n).all(), v.all(), far)
		}
	}
	shown(answer, nodes, say)
	return out
}

// heavy says whether a formula integrates or searches, itself or in a function
// that it calls.
func (w *world) heavy(n *spec.TraceNode) bool {
	for _, long := range []string{"integral(", "ode(", "greatest(", "argmax(", "argmin("} {
		if strings.Contains(n.Formula, long) {
			return true
		}
	}
	return slices.ContainsFunc(n.Inputs, func(id string) bool {
		in := w.nodes[id]
		return in != nil && in.Kind == spec.TraceFunction && w.heavy(in)
	})
}

func valueOf(n *spec.TraceNode) value {
	if n.Value != nil {
		return number(*n.Value)
	}
	return listOf(n.Values)
}

// apart is how far a node is from its formula, as a share of the larger of the
// two and of the largest input of the same unit.
func apart(n *spec.TraceNode, v value, w *world) float64 {
	have, want := valueOf(n), v
	if have.list && want.list && len(have.xs) != len(want.xs) || !have.list && want.list {
		return math.Inf(1)
	}
	scale := 0.0
	for _, id := range n.Inputs {
		if in := w.nodes[id]; in != nil && in.Unit == n.Unit {
			for _, x := range valueOf(in).all() {
				scale = max(scale, math.Abs(x))
			}
		}
	}
	floor := 1e-15 // of a state of charge near 0
	switch n.Unit {
	case "s":
		floor = 1e-10 // differences of thousands of seconds
	case "a":
		floor = 1e-11 // the last digits of volts over milliohms
	}
	worst := 0.0
	for i := range have.all() {
		a, b := have.at(i), want.at(i)
		if a == b {
			continue
		}
		off := max(math.Abs(a-b)-floor, 0) / max(math.Abs(a), math.Abs(b), scale)
		if math.IsNaN(off) {
			off = math.Inf(1)
		}
		worst = max(worst, off)
	}
	return worst
}

// rooted says whether a node leads to inputs, assumptions or sourced parameters
// alone.
func rooted(n *spec.TraceNode, before map[string]bool, body string, say func(string, ...any)) {
	for _, id := range n.Inputs {
		if !before[id] {
			say("%s = %s names %s, which does not stand before it", n.ID, n.Formula, id)
		}
	}
	if !slices.Equal(n.Inputs, trace.Names(n.Formula)) {
		say("%s does not list the inputs of %s", n.ID, n.Formula)
	}
	sourced := n.Source != nil && n.Source.Title != ""
	switch n.Kind {
	case spec.TraceGiven:
		if !isGiven(n, body) {
			say("%s is not in the request at %s", n.ID, n.Field)
		}
	case spec.TraceAssumed:
		if !sourced || n.Field == "" || n.Says == "" {
			say("%s is assumed without a source, a field or a reason", n.ID)
		}
	case spec.TraceParameter, spec.TraceCurve:
		if !sourced || n.Says == "" {
			say("%s is a parameter without a source or an explanation", n.ID)
		}
	default:
		if len(n.Inputs) == 0 && len(n.Arguments) == 0 {
			say("%s = %s comes from nothing", n.ID, n.Formula)
		}
	}
	for _, literal := range literals(n.Formula) {
		if !slices.Contains([]string{"0", "1", "2", "3", "4", "36", "39", "60", "100", "1000", "3600", "3.6", "24", "1e-9"}, literal) {
			say("%s = %s has the number %s in it, which is no conversion of units", n.ID, n.Formula, literal)
		}
	}
}

func literals(formula string) []string {
	var out []string
	count := 0
	e, err := parse(formula, &count)
	if formula == "" || err != nil {
		return nil
	}
	var walk func(*expr)
	walk = func(e *expr) {
		if e.op == "num" {
			out = append(out, strconv.FormatFloat(e.num, 'g', -1, 64))
		}
		for _, a := range e.args {
			walk(a)
		}
	}
	walk(e)
	for i, x := range out {
		if x == "1e-09" {
			out[i] = "1e-9"
		}
	}
	return out
}

func isGiven(n *spec.TraceNode, body string) bool {
	var doc any
	if json.Unmarshal([]byte(body), &doc) != nil {
		return false
	}
	v, found := follow(doc, strings.Split(n.Field, "/")[1:])
	if day, is := v.(string); is {
		d, err := time.Parse(time.DateOnly, day)
		return err == nil && *n.Value == float64(d.Unix()/86400)
	}
	want, err := json.Marshal(v)
	have, err2 := json.Marshal(valueOf(n).all())
	if n.Value != nil {
		have, err2 = json.Marshal(*n.Value)
	}
	var a, b any
	return found && err == nil && err2 == nil && json.Unmarshal(want, &a) == nil && json.Unmarshal(have, &b) == nil && reflect.DeepEqual(a, b)
}

func follow(v any, path []string) (any, bool) {
	for _, name := range path {
		switch x := v.(type) {
		case map[string]any:
			next, found := x[name]
			if !found {
				return nil, false
			}
			v = next
		case []any:
			i, err := strconv.Atoi(name)
			if err != nil || i >= len(x) {
				return nil, false
			}
			v = x[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// shown says whether each number of the answer is what a node shows, rounded.
func shown(answer any, nodes []spec.TraceNode, say func(string, ...any)) {
	at := map[string]float64{}
	for i := range nodes {
		n := &nodes[i]
		for _, pointer := range n.At {
			if n.Value != nil {
				at[pointer] = *n.Value
				continue
			}
			before, after, _ := strings.Cut(pointer, "*")
			for k, x := range n.Values {
				at[before+strconv.Itoa(k)+after] = x
			}
		}
	}
	b, err := json.Marshal(answer)
	if err != nil {
		say("%v", err)
		return
	}
	var doc map[string]any
	if err := json.Unmarshal(b, &doc); err != nil {
		say("%v", err)
	}
	delete(doc, "trace")
	numbers := map[string]float64{}
	collect(doc, "", numbers)
	for pointer, x := range numbers {
		y, known := at[pointer]
		switch {
		case !known:
			say("nothing in the trace shows the number at %s", pointer)
		case math.Abs(y-x) > 5e-9*math.Abs(x)+1e-9: // rounded to nine digits, and the rounding of differences
			say("the trace shows %v at %s, where the answer has %v", y, pointer, x)
		}
	}
	for pointer := range at {
		if _, known := numbers[pointer]; !known {
			say("the trace points at %s, where the answer has no number", pointer)
		}
	}
}

func collect(v any, pointer string, into map[string]float64) {
	switch x := v.(type) {
	case float64:
		if !strings.HasSuffix(pointer, "/source/year") { // part of a citation
			into[pointer] = x
		}
	case map[string]any:
		for name, y := range x {
			collect(y, pointer+"/"+name, into)
		}
	case []any:
		for i, y := range x {
			collect(y, pointer+"/"+strconv.Itoa(i), into)
		}
	}
}
