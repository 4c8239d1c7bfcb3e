package contract

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/openapi"
	"github.com/wattkeel/wattkeel/service/spec"
)

// POLICY. Numbers whose name does not end in a unit, each with the reason.
func unitless() map[string]string {
	return map[string]string{
		"Pack.cells_series":                        "a count; the trade says 3S",
		"Pack.cells_parallel":                      "a count; the trade says 2P",
		"Pack.cycles":                              "a count; the trade's word",
		"Charger.cells_series_min":                 "a count, not minutes",
		"Charger.cells_series_max":                 "a count",
		"Charger.channels":                         "a count; what is printed on chargers",
		"ChargeSettings.cells_series":              "a count",
		"IntendedSettings.cells_series":            "a count",
		"ChargePlanRequest.curve_points":           "a count",
		"RuntimeEstimateRequest.curve_points":      "a count",
		"RuntimeEstimate.cycles_completed":         "a count",
		"RuntimeEstimate.packs_for_surely":         "a count, as packs_for",
		"RuntimeEstimate.packs_for":                "a count; the time it is for stands in the request",
		"ChargePlan.wall_cost":                     "money, in the caller's own currency",
		"Finding.value":                            "the member unit beside it says",
		"Finding.limit":                            "the member unit beside it says",
		"RuleLevel.limit":                          "the member unit beside it says",
		"TraceNode.value":                          "the member unit beside it says",
		"TraceNode.values":                         "the member unit beside it says",
		"TracePoint.x":                             "an axis of a curve",
		"TracePoint.y":                             "the member unit of the node says",
		"AssumedNumber":                            "the unit of the field it stands for",
		"FirstUnsafe.cell":                         "a number that names a cell",
		"StandingDrain.cells":                      "numbers that name cells",
		"Problem.status":                           "RFC 9457, section 3.1.2, names it",
		"ProblemKind.status":                       "as in a problem",
		"Source.year":                              "a date",
		"TypicalResistance.polarization_factor":    "a plain factor",
		"header Retry-After":                       "RFC 9110, section 10.2.3, names it",
		"StorageSettings.cells_series":             "a count",
		"StoragePlanRequest.curve_points":          "a count",
		"SelfDischargeWait.loss_percent_per_month": "a percentage, each month",
		"TransportPack.index":                      "a place in a list",
		"LabelPack.cells_series":                   "a count, as in a pack",
		"LabelPack.cells_parallel":                 "a count, as in a pack",
		"LabelPiece.start":                         "a position in a text, counted in characters",
		"LabelPiece.end":                           "a position in a text, counted in characters",
		"LabelValue.start":                         "a position in a text, counted in characters",
		"LabelValue.end":                           "a position in a text, counted in characters",
		"LabelUnread.start":                        "a position in a text, counted in characters",
		"LabelUnread.end":                          "a position in a text, counted in characters",
		"ReadingNumber":                            "the unit of the field it stands for",
	}
}

// node is an object of the document.
type node map[string]any

func (n node) at(path ...string) node {
	for _, p := range path {
		next, _ := n[p].(map[string]any)
		n = next
	}
	return n
}

func (n node) text(name string) string { s, _ := n[name].(string); return s }

func (n node) list(name string) []any { l, _ := n[name].([]any); return l }

func documentOf(t *testing.T, text []byte) node {
	t.Helper()
	var doc node
	require.NoError(t, json.Unmarshal(text, &doc))
	return doc
}

// linter collects what is wrong with a document.
type linter struct {
	doc    node
	faults []string
	seen   map[string]int // of what was looked at, how much
	idle   map[string]string
}

func lint(doc node) *linter {
	l := &linter{doc: doc, seen: map[string]int{}, idle: unitless()}
	schemas := doc.at("components", "schemas")
	for _, name := range slices.Sorted(maps.Keys(schemas)) {
		s := schemas.at(name)
		l.want(s.text("description") != "", name, "has no description")
		l.schema(name, "", s)
	}
	for name := range doc.at("components", "headers") {
		h := doc.at("components", "headers", name)
		l.want(h.text("description") != "", name, "has no description")
		l.schema("header "+name, "", h.at("schema"))
	}
	for path := range doc.at("paths") {
		l.path(path)
		for method := range doc.at("paths", path) {
			l.operation(method+" "+path, path, doc.at("paths", path, method))
		}
	}
	for exception := range l.idle {
		l.fault(exception, "is excepted from the units, but is not there")
	}
	return l
}

func (l *linter) fault(at, what string) { l.faults = append(l.faults, at+" "+what) }

func (l *linter) want(ok bool, at, what string) {
	if !ok {
		l.fault(at, what)
	}
}

// schema looks at a schema and at what it holds. The name is that of the
// member that has it.
func (l *linter) schema(at, name string, s node) {
	switch s.text("type") {
	case "object":
		l.seen["objects"]++
		for member := range s.at("properties") {
			p, where := s.at("properties", member), at+"."+member
			l.want(regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`).MatchString(member), where, "is not in snake_case")
			l.want(p.text("description") != "", where, "has no description")
			l.schema(where, member, p)
		}
	case "array":
		l.seen["lists"]++
		l.want(s["maxItems"] != nil, at, "has no maxItems")
		l.schema(at, name, s.at("items"))
	case "string":
		l.seen["texts"]++
		l.want(s["maxLength"] != nil || s["enum"] != nil, at, "has neither maxLength nor enum")
		l.want(len(s.list("examples")) > 0, at, "has no example")
		l.want(s["x-known-values"] == nil || s["x-may-grow"] == true, at, "lists known values and does not say that they may grow")
	case "number", "integer":
		l.number(at, name, s)
	case "boolean":
		l.want(len(s.list("examples")) > 0, at, "has no example")
	default:
		l.want(len(s.list("allOf")) == 1 || len(s.list("oneOf")) > 1 || s.text("$ref") != "", at, "is of any type")
	}
}

func (l *linter) number(at, name string, s node) {
	l.seen["numbers"]++
	unit := spec.UnitOf(name)
	switch {
	case unit != "":
		l.want(s.text("x-unit") == unit, at, "has another x-unit than its name says")
	case strings.HasSuffix(name, "_count"), strings.HasSuffix(name, "_ratio"):
	default:
		l.want(unitless()[at] != "", at, "has a name that does not end in a unit")
		delete(l.idle, at)
	}
	l.want(s.text("x-unit") != "", at, "has no x-unit")
	l.want(slices.Contains([]string{"double", "int32", "int64"}, s.text("format")), at, "has no format")
	l.want(s["minimum"] != nil || s["exclusiveMinimum"] != nil, at, "has no lower bound")
	l.want(s["maximum"] != nil || s["exclusiveMaximum"] != nil, at, "has no upper bound")
	l.want(len(s.list("examples")) > 0, at, "has no example")
}

func (l *linter) path(path string) {
	for segment := range strings.SplitSeq(strings.TrimPrefix(path, "/"), "/") {
		l.want(regexp.MustCompile(`^([a-z0-9]+(-[a-z0-9]+)*|\{[a-z]+(_[a-z]+)*\})$`).MatchString(segment), path, "is not in kebab-case")
	}
}

func (l *linter) operation(at, path string, o node) {
	l.seen["operations"]++
	l.want(o.text("summary") != "", at, "has no summary")
	l.want(o.text("description") != "", at, "has no description")
	l.want(len(o.list("tags")) == 1, at, "has not one tag")
	l.want(regexp.MustCompile(`^[a-z]+([A-Z][a-z]+)+$`).MatchString(o.text("operationId")), at, "has no operationId in camelCase")
	for _, p := range o.list("parameters") {
		parameter := node(p.(map[string]any))
		if parameter.text("$ref") == "" {
			l.want(parameter.text("description") != "", at+" "+parameter.text("name"), "has no description")
			l.schema(at+" "+parameter.text("name"), "", parameter.at("schema"))
		}
	}
	bad := 0
	responses := o.at("responses")
	for status := range responses {
		r, of := responses.at(status), at+" "+status
		if ref := r.text("$ref"); ref != "" {
			r = l.doc.at("components", "responses", ref[strings.LastIndexByte(ref, '/')+1:])
		}
		l.want(r.text("description") != "", of, "has no description")
		l.want(r.at("headers")["X-Request-Id"] != nil, of, "does not document X-Request-Id")
		l.want((r.at("headers")["Retry-After"] != nil) == (status == "503"), of, "documents Retry-After where there is none, or does not")
		if status == "200" {
			l.forms(at, r)
			continue
		}
		if status != "304" {
			l.want(r.at("content")["application/problem+json"] != nil, of, "is not application/problem+json")
		}
		bad += l.examples(of, r)
	}
	l.want(bad > 0, at, "has no example of a problem")
	for _, status := range statusesOf(path, o) {
		l.want(responses[status] != nil, at, "does not document "+status)
	}
}

// forms looks at the forms of a good answer: each has an example, and one that is
// not JSON says what is in it.
func (l *linter) forms(at string, r node) {
	l.want(r.at("content")["application/json"] != nil, at, "is not answered in application/json")
	for media := range r.at("content") {
		content := r.at("content", media)
		l.want(len(content.at("examples")) > 0, at, "has no example of success in "+media)
		l.want(media == "application/json" || content.at("schema").text("description") != "", at, "does not say what is in "+media)
		l.seen["forms"]++
	}
	l.examples(at+" 200", r)
}

func (l *linter) examples(at string, r node) int {
	n := 0
	for media := range r.at("content") {
		for name := range r.at("content", media, "examples") {
			e := r.at("content", media, "examples", name)
			l.want(e.text("summary") != "" && e.at("x-request").text("path") != "", at+" "+name, "says neither what it shows nor how to ask it again")
			l.seen["examples"]++
			n++
		}
	}
	return n
}

// statusesOf lists the statuses that an operation must document, by its nature.
func statusesOf(path string, o node) []string {
	if path == "/livez" || path == "/readyz" {
		return []string{"200", "405", "500"}
	}
	list := []string{"200", "406", "422", "500", "503"}
	if o["requestBody"] != nil {
		list = append(list, "400", "408", "413", "415")
	} else {
		list = append(list, "304")
	}
	if strings.Contains(path, "{") {
		list = append(list, "404")
	}
	return list
}

func TestTheDocumentLeavesNothingUnsaid(t *testing.T) {
	l := lint(documentOf(t, openapi.JSON()))
	for what, least := range map[string]int{"objects": 35, "lists": 25, "texts": 50, "numbers": 90, "operations": 9, "examples": 20} {
		assert.GreaterOrEqual(t, l.seen[what], least, "the walk must have found the %s", what)
	}
	assert.Empty(t, l.faults)
}

// The lint can fail: each spoiled place is found.
func TestTheLintNoticesWhatIsLeftUnsaid(t *testing.T) {
	plans := []string{"paths", "/v1/charge-plans", "post"}
	cases := []struct {
		name  string
		at    []string
		spoil func(n node)
		fault string
	}{
		{"a number without a bound", []string{"components", "schemas", "ChargeSettings", "properties", "current_a"}, func(n node) { delete(n, "maximum") }, "ChargeSettings.current_a has no upper bound"},
		{"a number without a format", []string{"components", "schemas", "Pack", "properties", "mass_g"}, func(n node) { delete(n, "format") }, "Pack.mass_g has no format"},
		{"entries without a bound", []string{"components", "schemas", "Pack", "properties", "cell_voltages_v", "items"}, func(n node) { delete(n, "minimum") }, "Pack.cell_voltages_v has no lower bound"},
		{"another unit", []string{"components", "schemas", "Pack", "properties", "mass_g"}, func(n node) { n["x-unit"] = "volts" }, "Pack.mass_g has another x-unit than its name says"},
		{"a number of nothing", []string{"components", "schemas", "Pack", "properties"}, func(n node) { n["size"] = n["mass_g"] }, "Pack.size has a name that does not end in a unit"},
		{"a list without end", []string{"components", "schemas", "ChargePlan", "properties", "findings"}, func(n node) { delete(n, "maxItems") }, "ChargePlan.findings has no maxItems"},
		{"a text without end", []string{"components", "schemas", "Finding", "properties", "message"}, func(n node) { delete(n, "maxLength") }, "Finding.message has neither maxLength nor enum"},
		{"a member without words", []string{"components", "schemas", "Finding", "properties", "message"}, func(n node) { delete(n, "description") }, "Finding.message has no description"},
		{"a value of any type", []string{"components", "schemas", "AssumedValue"}, func(n node) { delete(n, "oneOf") }, "AssumedValue is of any type"},
		{"a name in CamelCase", []string{"components", "schemas", "Pack", "properties"}, func(n node) { n["massG"] = n["mass_g"] }, "Pack.massG is not in snake_case"},
		{"a path in snake_case", []string{"paths"}, func(n node) { n["/v1/charge_plans"] = n["/v1/charge-plans"] }, "/v1/charge_plans is not in kebab-case"},
		{"an operation without a tag", plans, func(n node) { delete(n, "tags") }, "post /v1/charge-plans has not one tag"},
		{"an operation without its errors", append(plans, "responses"), func(n node) { delete(n, "413") }, "post /v1/charge-plans does not document 413"},
		{"no example of success", append(plans, "responses", "200", "content", "application/json"), func(n node) { delete(n, "examples") }, "post /v1/charge-plans has no example of success in application/json"},
		{"no example of a text", append(plans, "responses", "200", "content", "text/plain"), func(n node) { delete(n, "examples") }, "post /v1/charge-plans has no example of success in text/plain"},
		{"a text without a description", append(plans, "responses", "200", "content", "text/plain", "schema"), func(n node) { delete(n, "description") }, "post /v1/charge-plans does not say what is in text/plain"},
		{"no time to wait", append(plans, "responses", "200", "headers"), func(n node) { n["Retry-After"] = n["Vary"] }, "post /v1/charge-plans 200 documents Retry-After where there is none, or does not"},
		{"an exception for nothing", []string{"components", "schemas", "Pack", "properties"}, func(n node) { delete(n, "cycles") }, "Pack.cycles is excepted from the units, but is not there"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			doc := documentOf(t, openapi.JSON())
			c.spoil(doc.at(c.at...))
			assert.Contains(t, lint(doc).faults, c.fault)
		})
	}
}

// A request is closed, an answer is open, and a list of words says whether it
// may grow.
func TestRequestsAreClosedAndAnswersOpen(t *testing.T) {
	doc := documentOf(t, openapi.JSON())
	asked, answered := map[string]bool{}, map[string]bool{}
	for path := range doc.at("paths") {
		for method := range doc.at("paths", path) {
			o := doc.at("paths", path, method)
			reach(doc, o["requestBody"], asked)
			reach(doc, o["responses"], answered)
		}
	}
	require.Greater(t, len(asked), 8)
	require.Greater(t, len(answered), 30)
	for name := range doc.at("components", "schemas") {
		s := doc.at("components", "schemas", name)
		require.True(t, asked[name] || answered[name], "%s is used nowhere", name)
		if s.text("type") == "object" {
			assert.Equal(t, asked[name], s["additionalProperties"] == false, name)
		}
		if s["enum"] != nil {
			assert.Equal(t, answered[name], s["x-may-grow"] != nil, name)
		}
	}
}

// reach notes the components that a value refers to.
func reach(doc node, v any, found map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		if name, is := strings.CutPrefix(fmt.Sprint(v["$ref"]), "#/components/schemas/"); is && !found[name] {
			found[name] = true
			reach(doc, map[string]any(doc.at("components", "schemas", name)), found)
		}
		for name, x := range v {
			if name != "examples" {
				reach(doc, x, found)
			}
		}
	case []any:
		for _, x := range v {
			reach(doc, x, found)
		}
	}
}
