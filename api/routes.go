package api

import (
	"net/http"
	"reflect"

	"github.com/wattkeel/wattkeel/api/render"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/chemistry"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/label"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
	"github.com/wattkeel/wattkeel/service/transport"
)

// Operation is one row of the table of operations: everything the router and
// the document need to know about it.
type Operation struct {
	// Method is the HTTP method. A GET answers HEAD as well.
	Method string
	// Path is the path, with at most one parameter in braces.
	Path string
	// ID names the operation in the document and in the generated client.
	ID string
	// Summary says in one line what the operation is for.
	Summary string
	// Description says it at length.
	Description string
	// Tag groups operations in the document.
	Tag string
	// Request is the type of the body, nil where there is none.
	Request reflect.Type
	// Answer is the type of the answer.
	Answer reflect.Type
	// Entry describes the path parameter, where there is one: Values lists the names there are.
	Entry Parameter
	// Query lists the query parameters that it takes. Any other is refused, but by an ungated operation.
	Query []Parameter
	// Produces lists the forms of the answer, the preferred one first. Left out, it is JSON alone.
	Produces []Representation
	// Cached says that the answer changes only with the version of the service, and so carries an entity tag.
	Cached bool
	// Ungated says that the operation is answered whatever the load, and in JSON whatever the caller accepts.
	Ungated bool
	// Stops says that the operation is answered with a problem once the service has been told to stop.
	Stops bool

	handle func(in input) (any, error)
	// read and answer are what handle does with a document.
	read   func(body []byte) (any, error)
	answer func(q any, query map[string]string) any
}

// Parameter is one query parameter.
type Parameter struct {
	// Name is its name, in snake_case.
	Name string
	// Description says what it does.
	Description string
	// Values lists the legal values, which must be few.
	Values []string
	// JSONAlone says that the answer that it asks for has no other form.
	JSONAlone bool
}

// input is what an operation may look at.
type input struct {
	body     []byte            // of a POST
	name     string            // the path parameter
	query    map[string]string // the query parameters that were given, each with a legal value
	draining bool              // the service has been told to stop
}

// Operations lists every operation of the service. Where only the table is
// read, a Config without anything in it will do.
func Operations(cfg Config) []Operation {
	cfg = cfg.withDefaults()
	runs := runtime.NewEstimator(cfg.Cells, cfg.Rules)
	store := storage.NewPlanner(cfg.Cells, cfg.Rules, cfg.Planner)
	drains := drain.NewEstimator(cfg.Cells, cfg.Rules)
	return around(cfg, []Operation{
		ask(Operation{
			Path: "/v1/charge-plans", ID: "createChargePlan", Tag: "plans",
			Summary:     "Plan the charging of one pack",
			Description: "Says whether and how to charge one pack on one charger: the settings, every limit that was considered, the phases with their durations, the steps at the bench, and what the rules found. A pack that must not be charged is answered with verdict stop.",
			Query:       []Parameter{traced()},
			Produces:    inWords("The plan as a person reads it at a bench or in a chat: the verdict, what was found and what to do about it, and, unless the verdict is stop, the settings, the time, what limits the current, and the steps.", render.ChargePlanText),
		}, cfg.Validator, orExplain(cfg.Planner.Plan, cfg.Planner.Explain)),
		ask(Operation{
			Path: "/v1/storage-plans", ID: "createStoragePlan", Tag: "plans",
			Summary:     "Plan the storage of one pack",
			Description: "Says how to put one pack away: whether to charge it, discharge it or leave it, how far and for how long, with the settings and every limit that was considered; the ways there without a charger; and what the pack loses for good while it lies, as it stands and at storage charge. A pack that must not be connected to anything is answered with verdict stop.",
			Query:       []Parameter{traced()},
			Produces:    inWords("The plan as a person reads it: the verdict and what to do with the pack, what was found, how far and how long, the settings, other ways, what lying costs the pack, and the steps. A stop has nothing to set.", render.StoragePlanText),
		}, cfg.Validator, orExplain(store.Plan, store.Explain)),
		ask(Operation{
			Path: "/v1/standing-drain-estimates", ID: "createStandingDrainEstimate", Tag: "plans",
			Summary:     "Say how long a pack may be left",
			Description: "Says, cell by cell, after how many days a pack at rest is down to storage charge, to the safe-start voltage and to the floor, with what stays connected to it and by its own self-discharge, and how far apart the cells are then. The figures are a prediction and are given whatever the verdict.",
			Query:       []Parameter{traced()},
		}, cfg.Validator, orExplain(drains.Estimate, drains.Explain)),
		post(Operation{
			Path: "/v1/pack-checks", ID: "createPackCheck", Tag: "checks",
			Summary:     "Check one pack",
			Description: "Says what is wrong with one pack: by itself, on a charger, with the settings somebody means to use, and where it will stand. Rules that could not be judged are listed with what is missing.",
		}, cfg.Validator, check.NewChecker(cfg.Planner).Check),
		ask(Operation{
			Path: "/v1/runtime-estimates", ID: "createRuntimeEstimate", Tag: "plans",
			Summary:     "Estimate how long a pack runs a load",
			Description: "Says how long one pack runs a load, as a range: until its weakest cell falls to the cut-off under load, the reserve is reached, or the pack is too hot. With it come sag, heat, the peak against the ratings, where to set a low-voltage alarm under this load, and how many packs a session takes. The figures are a prediction and are given whatever the verdict.",
			Query:       []Parameter{traced()},
			Produces:    inWords("The estimate as a person reads it: the verdict and the run time, what was found and what to do about it, when to stop, and what the load does to the pack.", render.RuntimeEstimateText),
		}, cfg.Validator, orExplain(runs.Estimate, runs.Explain)),
		post(Operation{
			Path: "/v1/transport-checks", ID: "createTransportCheck", Tag: "checks",
			Summary:     "Check how packs may travel",
			Description: "Says whether packs may travel as a passenger's baggage, as air cargo or by road: the watt hours of each and of all, what the rules of transport take them for, and what the rules found. The carrier may be stricter.",
		}, cfg.Validator, transport.NewChecker(cfg.Cells, cfg.Rules).Check),
		post(Operation{
			Path: "/v1/label-readings", ID: "createLabelReading", Tag: "readings",
			Summary:     "Read a label",
			Description: "Reads the text of a label or of a product title: every value with the piece of text it came from, what the text says against itself, and what is missing. A value that is contradicted is left out of the pack, and nothing is guessed.",
		}, cfg.Validator, label.NewReader(cfg.Cells, cfg.Rules).Read),
		list(Operation{
			Path: "/v1/chemistries", ID: "listChemistries", Tag: "catalogs",
			Summary:     "List the chemistries",
			Description: "Lists the voltages, limits, zones, curves and resistances used for every chemistry, each with its source.",
		}, func() chemistry.List { return chemistry.All(cfg.Cells) }),
		get(Operation{
			Path: "/v1/chemistries/{name}", ID: "getChemistry", Tag: "catalogs",
			Summary:     "Describe one chemistry",
			Description: "Gives the voltages, limits, zones, curve and resistance used for one chemistry, each with its source. The open-circuit curve is the one that plans are computed on.",
			Entry:       Parameter{Name: "name", Description: "The name of the chemistry, as in requests.", Values: spec.Chemistry("").Enum()},
		}, findChemistry(cfg.Cells)),
		list(Operation{
			Path: "/v1/rules", ID: "listRules", Tag: "catalogs",
			Summary:     "List the rules",
			Description: "Lists every rule: what it needs, its limits, its reason, its remedy and its source.",
		}, func() rule.List { return rule.Describes(cfg.Rules) }),
		get(Operation{
			Path: "/v1/rules/{id}", ID: "getRule", Tag: "catalogs",
			Summary:     "Describe one rule",
			Description: "Gives one rule: what it needs, its limits, its reason, its remedy and its source.",
			Entry:       Parameter{Name: "id", Description: "The id of the rule, as in findings.", Values: ruleIDs(cfg.Rules)},
		}, findRule(cfg.Rules)),
		health(Operation{
			Path: "/livez", ID: "getLiveness", Tag: "operation",
			Summary:     "Say whether the process runs",
			Description: "Answers 200 for as long as the process can answer at all.",
		}, answerWhileDraining),
		health(Operation{
			Path: "/readyz", ID: "getReadiness", Tag: "operation",
			Summary:     "Say whether to send requests here",
			Description: "Answers 200 while requests are welcome, and 503 from the moment the service has been told to stop.",
		}, refuseWhileDraining),
		get(Operation{
			Path: "/problems/{slug}", ID: "getProblem", Tag: "operation",
			Summary:     "Explain a kind of problem",
			Description: "Explains the kind of problem that the type member of an error answer refers to.",
			Entry:       Parameter{Name: "slug", Description: "The last segment of the type member of a problem.", Values: kindSlugs()},
		}, findKind),
	})
}

// around lets Config.Around stand between a question and its answer.
func around(cfg Config, rows []Operation) []Operation {
	if cfg.Around == nil {
		return rows
	}
	for i := range rows {
		row := &rows[i]
		if row.read == nil {
			continue
		}
		row.handle = func(in input) (any, error) {
			q, err := row.read(in.body)
			if err != nil {
				return nil, err
			}
			return cfg.Around(row.ID, func() any { return row.answer(q, in.query) }), nil
		}
	}
	return rows
}

func findChemistry(cells *cell.Table) func(string) (chemistry.Doc, bool, []string) {
	return func(name string) (chemistry.Doc, bool, []string) {
		c := cells.Get(spec.Chemistry(name))
		if c == nil {
			return chemistry.Doc{}, false, spec.Chemistry("").Enum()
		}
		return chemistry.Describe(c), true, nil
	}
}

func findRule(rules []rule.Rule) func(string) (rule.Doc, bool, []string) {
	return func(id string) (rule.Doc, bool, []string) {
		for i := range rules {
			if rules[i].ID == id {
				return rule.Describe(&rules[i]), true, nil
			}
		}
		return rule.Doc{}, false, ruleIDs(rules)
	}
}

func ruleIDs(rules []rule.Rule) []string {
	ids := make([]string, len(rules))
	for i := range rules {
		ids[i] = rules[i].ID
	}
	return ids
}

// traced is the parameter that asks how an answer was worked out.
func traced() Parameter {
	return Parameter{
		Name: "trace", Values: []string{"full"}, JSONAlone: true,
		Description: "With full, the answer has one more member, trace: for each of its numbers the formula, the inputs, the parameters with their source, and the unrounded value. The rest of the answer is the same, byte for byte. There is no trace in any other form than JSON.",
	}
}

// orExplain answers with a trace where that is asked for.
func orExplain[Req, Ans any](answer, explain func(*Req) Ans) func(*Req, map[string]string) Ans {
	return func(q *Req, query map[string]string) Ans {
		if query["trace"] == "full" {
			return explain(q)
		}
		return answer(q)
	}
}

// post completes the row of a question that is asked with a document alone.
func post[Req, Ans any](row Operation, v *spec.Validator, answer func(*Req) Ans) Operation {
	return ask(row, v, func(q *Req, _ map[string]string) Ans { return answer(q) })
}

// ask completes the row of a question that is asked with a document and query
// parameters.
func ask[Req, Ans any](row Operation, v *spec.Validator, answer func(q *Req, query map[string]string) Ans) Operation {
	decoder := NewDecoder[Req](v)
	row.Request = reflect.TypeFor[Req]()
	row.read = func(body []byte) (any, error) { return decoder.Decode(body) }
	row.answer = func(q any, query map[string]string) any {
		document, _ := q.(*Req) // what read has read
		return answer(document, query)
	}
	row.handle = func(in input) (any, error) {
		q, err := row.read(in.body)
		if err != nil {
			return nil, err
		}
		return row.answer(q, in.query), nil
	}
	return complete[Ans](row, http.MethodPost)
}

// get completes the row of a catalog's entry. The handler finds an entry by
// the path parameter and says whether there is one; where there is none it
// lists the names there are, so that the nearest can be told.
func get[Ans any](row Operation, find func(name string) (Ans, bool, []string)) Operation {
	row.Cached = true
	row.handle = func(in input) (any, error) {
		answer, found, legal := find(in.name)
		if !found {
			return nil, &UnknownNameError{Name: in.name, Legal: legal}
		}
		return answer, nil
	}
	return complete[Ans](row, http.MethodGet)
}

// list completes the row of a whole catalog.
func list[Ans any](row Operation, answer func() Ans) Operation {
	row.Cached = true
	row.handle = func(input) (any, error) { return answer(), nil }
	return complete[Ans](row, http.MethodGet)
}

// Health is the answer of a health endpoint.
type Health struct {
	// Status is always ok: what is not ok is answered with a problem.
	Status string `json:"status" validate:"max=16"`
}

const (
	answerWhileDraining = true
	refuseWhileDraining = false
)

// health completes the row of a health endpoint.
func health(row Operation, whileDraining bool) Operation {
	row.Ungated, row.Stops = true, !whileDraining
	row.handle = func(in input) (any, error) {
		if in.draining && row.Stops {
			return nil, &drainingError{}
		}
		return Health{Status: "ok"}, nil
	}
	return complete[Health](row, http.MethodGet)
}

func complete[Ans any](row Operation, method string) Operation {
	row.Method = method
	row.Answer = reflect.TypeFor[Ans]()
	if len(row.Produces) == 0 {
		row.Produces = []Representation{asJSON()}
	}
	return row
}
