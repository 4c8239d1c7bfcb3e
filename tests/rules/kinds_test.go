package rules_test

import (
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
	"github.com/wattkeel/wattkeel/service/transport"
)

// The questions a row can ask.
const (
	packCheck  = "pack-check"
	chargePlan = "charge-plan"
	storePlan  = "storage-plan"
	standing   = "standing-drain"
	runTime    = "runtime-estimate"
	travel     = "transport-check"
)

// kind is one question that rows can ask. A new endpoint that judges rules has
// its entry in kinds.
type kind struct {
	path      string
	request   func() any                               // an empty request to decode into
	asker     func(rules []rule.Rule) func(any) answer // answers requests by a catalog
	facts     func(request any) rule.Facts             // the documents as rules see them, without what a question computes
	families  []rule.Family                            // the rules it judges
	each      string                                   // where one pack stands, in a question about several
	idle      bool                                     // it says how long a pack is left
	uncharged bool                                     // it leaves out rules that speak of charging alone
}

// judges reports whether the question asks a rule at all.
func (k *kind) judges(r *rule.Rule) bool {
	return slices.Contains(k.families, r.Family) && (k.idle || !r.Idle) && !(k.uncharged && r.ChargeOnly)
}

// answer is what the answers of all questions have in common.
type answer struct {
	verdict      spec.Verdict
	findings     []spec.Finding
	notEvaluated []spec.NotEvaluated
	document     any // the whole answer
}

func kinds() map[string]*kind {
	onCharger := []rule.Family{rule.PackAlone, rule.OnCharger, rule.AtThisPlace}
	return map[string]*kind{
		packCheck: {
			path: "/v1/pack-checks", families: onCharger, idle: true,
			request: func() any { return &check.Request{} },
			asker: func(rules []rule.Rule) func(any) answer {
				c := check.NewChecker(charge.NewPlanner(cell.NewTable(), rules))
				return func(q any) answer {
					a := c.Check(q.(*check.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts { return checkFacts(request.(*check.Request)) },
		},
		chargePlan: {
			path: "/v1/charge-plans", families: onCharger,
			request: func() any { return &charge.Request{} },
			asker: func(rules []rule.Rule) func(any) answer {
				p := charge.NewPlanner(cell.NewTable(), rules)
				return func(q any) answer {
					a := p.Plan(q.(*charge.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts { return planFacts(request.(*charge.Request)) },
		},
		travel: {
			path: "/v1/transport-checks", families: []rule.Family{rule.Moving}, each: "/packs/0",
			request: func() any { return &transport.Request{Packs: make([]spec.Pack, 1)} },
			asker: func(rules []rule.Rule) func(any) answer {
				c := transport.NewChecker(cell.NewTable(), rules)
				return func(q any) answer {
					a := c.Check(q.(*transport.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts { return travelFacts(request.(*transport.Request)) },
		},
		runTime: {
			path: "/v1/runtime-estimates", families: []rule.Family{rule.PackAlone, rule.InUse}, uncharged: true,
			request: func() any { return &runtime.Request{} },
			asker: func(rules []rule.Rule) func(any) answer {
				e := runtime.NewEstimator(cell.NewTable(), rules)
				return func(q any) answer {
					a := e.Estimate(q.(*runtime.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts {
				q := request.(*runtime.Request)
				return rule.Facts{Pack: &q.Pack, AsOf: q.AsOf, Running: &rule.Running{AmbientGiven: q.AmbientDegC != nil}}
			},
		},
		storePlan: {
			path: "/v1/storage-plans", families: onCharger, uncharged: true,
			request: func() any { return &storage.Request{} },
			asker: func(rules []rule.Rule) func(any) answer {
				cells := cell.NewTable()
				p := storage.NewPlanner(cells, rules, charge.NewPlanner(cells, rules))
				return func(q any) answer {
					a := p.Plan(q.(*storage.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts {
				q := request.(*storage.Request)
				return rule.Facts{Pack: &q.Pack, Charger: q.Charger, Surroundings: q.Surroundings, AsOf: q.AsOf, IdleDays: q.IdleDays, Storing: &rule.Storing{}}
			},
		},
		standing: {
			path: "/v1/standing-drain-estimates", families: []rule.Family{rule.PackAlone, rule.AtRest}, idle: true,
			request: func() any { return &drain.Request{} },
			asker: func(rules []rule.Rule) func(any) answer {
				e := drain.NewEstimator(cell.NewTable(), rules)
				return func(q any) answer {
					a := e.Estimate(q.(*drain.Request))
					return answer{a.Verdict, a.Findings, a.NotEvaluated, a}
				}
			},
			facts: func(request any) rule.Facts {
				q := request.(*drain.Request)
				uneven := slices.ContainsFunc(q.Drains, func(d drain.Drain) bool { return d.Cells != nil })
				return rule.Facts{
					Pack: &q.Pack, IdleDays: q.IdleDays, AsOf: q.AsOf,
					Draining: &rule.Draining{Connected: len(q.Drains) > 0, Uneven: uneven},
				}
			},
		},
	}
}

func checkFacts(q *check.Request) rule.Facts {
	f := rule.Facts{Pack: &q.Pack, Charger: q.Charger, Surroundings: q.Surroundings, AsOf: q.AsOf}
	if s := q.Settings; s != nil && s.EndVoltagePerCellV != nil {
		f.EndCellV = &rule.Given{Value: *s.EndVoltagePerCellV, At: "/settings/end_voltage_per_cell_v"}
	}
	if f.Charger != nil {
		f.Charging = &rule.Charging{}
	}
	return f
}

// travelFacts are those of the first pack: rows about several are of one kind.
func travelFacts(q *transport.Request) rule.Facts {
	p := transport.NewChecker(cell.NewTable(), rule.All()).Check(q).Packs[0]
	return rule.Facts{Pack: &q.Packs[0], AsOf: q.AsOf, Moving: &rule.MovingFacts{
		Mode: q.Mode, PackedWith: q.PackedWithEquipment, EnergyWh: p.EnergyWh, CellWh: p.CellEnergyWh,
	}}
}

func planFacts(q *charge.Request) rule.Facts {
	f := rule.Facts{Pack: &q.Pack, Charger: &q.Charger, Surroundings: q.Surroundings, AsOf: q.AsOf}
	if v := q.TargetCellVoltageV; v != nil {
		f.EndCellV = &rule.Given{Value: *v, At: "/target_cell_voltage_v"}
	}
	f.Charging, f.Planning = &rule.Charging{}, true
	if g := q.Goal; g != nil && g.ReadyInMin != nil {
		f.Charging.DeadlineMin = *g.ReadyInMin
	}
	return f
}

// engine answers every question by one catalog.
type engine map[string]func(any) answer

func newEngine(rules []rule.Rule) engine {
	e := engine{}
	for name, k := range kinds() {
		e[name] = k.asker(rules)
	}
	return e
}

func (e engine) ask(q *question) answer { return e[q.name](q.request) }
