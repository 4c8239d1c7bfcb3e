package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Finding shows the value and the limit of the finding that stands at a JSON
// Pointer of the answer, as its rule says they follow. The facts are of the pack
// that it speaks of, whose fields have names that begin with pack.
func (e *Explainer) Finding(at string, f *spec.Finding, facts *rule.Facts, pack string) {
	r := e.judge.Rule(f.Rule)
	if f.Exact == nil || r == nil {
		return
	}
	write := func(formula string) string {
		return Rename(rule.Formula(formula, facts, f.At), func(name string) string {
			space, field, _ := strings.Cut(name, ".")
			switch space {
			case "chem":
				return "chemistry." + string(facts.Chemistry.Name) + "." + field
			case "pack":
				return pack + field
			}
			return name
		})
	}
	id := strings.ReplaceAll(strings.Replace(strings.TrimPrefix(at, "/"), "findings", "finding", 1), "/", ".")
	show := func(name string, value float64, formula string) {
		e.SetShown(at+"/"+name, id+"."+name, f.Unit, value, formula)
	}
	show("value", f.Exact[0], write(r.Value))
	show("limit", f.Exact[1], write(e.against(r, f)))
}

// against is the formula of the limit that a finding was judged against.
func (e *Explainer) against(r *rule.Rule, f *spec.Finding) string {
	if r.Against == "" {
		level := slices.IndexFunc(r.Levels, func(l rule.Level) bool { return l.Severity == f.Severity })
		return fmt.Sprintf("rule.%s.limit_%d", strings.ReplaceAll(r.ID, "-", "_"), level)
	}
	for name := range strings.SplitSeq(r.Against, " | ") {
		if !strings.Contains(r.Against, "|") {
			return name
		}
		if x, known := e.Value(name); known && math.Abs(x-f.Exact[1]) <= 1e-9*math.Abs(x) {
			return name
		}
	}
	return r.Against
}
