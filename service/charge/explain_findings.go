package charge

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/trace"
)

// finding shows the value and the limit of one finding, as its rule says they
// follow.
func (e *explainer) finding(i int, f *spec.Finding) {
	if f.Exact == nil {
		return
	}
	r := e.judge.Rule(f.Rule)
	if r == nil {
		return
	}
	facts, pack := e.judgedPack(f.At)
	write := func(formula string) string {
		return trace.Rename(rule.Formula(formula, facts, f.At), func(name string) string {
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
	show := func(name string, value float64, formula string) {
		e.show(fmt.Sprintf("/findings/%d/%s", i, name), fmt.Sprintf("finding.%d.%s", i, name), f.Unit, value, formula)
	}
	show("value", f.Exact[0], write(r.Value))
	show("limit", f.Exact[1], write(e.against(r, f)))
}

// against is the formula of the limit that a finding was judged against.
func (e *explainer) against(r *rule.Rule, f *spec.Finding) string {
	if r.Against == "" {
		level := slices.IndexFunc(r.Levels, func(l rule.Level) bool { return l.Severity == f.Severity })
		return fmt.Sprintf("rule.%s.limit_%d", strings.ReplaceAll(r.ID, "-", "_"), level)
	}
	for name := range strings.SplitSeq(r.Against, " | ") {
		if !strings.Contains(r.Against, "|") {
			return name
		}
		if x, known := e.trace.Value(name); known && math.Abs(x-f.Exact[1]) <= 1e-9*math.Abs(x) {
			return name
		}
	}
	return r.Against
}

// judgedPack is the pack that a finding speaks of, by what it points at, and the
// path to it.
func (e *explainer) judgedPack(at []string) (*rule.Facts, string) {
	facts := *e.w.facts
	for i := range e.w.boardPacks() {
		to := fmt.Sprintf("/surroundings/parallel_board/%d/", i)
		if len(at) > 0 && strings.HasPrefix(at[0], to) {
			p := &e.w.boardPacks()[i]
			return &rule.Facts{Pack: p, AsOf: facts.AsOf, Chemistries: facts.Chemistries, Chemistry: facts.Chemistries.Get(p.Chemistry)}, strings.ReplaceAll(to[1:], "/", ".")
		}
	}
	return &facts, "pack."
}
