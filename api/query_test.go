package api

import (
	"net/http"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/service/spec"
)

// queryServer answers with the query parameters that the handler was given.
func queryServer(t *testing.T) *Server {
	row := Operation{
		Method: http.MethodGet, Path: "/test/queries", Produces: []Representation{asJSON()},
		Query: []Parameter{{Name: "trace", Values: []string{"full"}}, {Name: "color", Values: color("").Enum()}},
	}
	row.handle = func(in input) (any, error) { return in.query, nil }
	return newServer(Config{Logger: quiet(t)}.withDefaults(), append(testOperations(nil), row))
}

func TestQueryParametersReachTheHandler(t *testing.T) {
	for query, want := range map[string]map[string]string{
		"":                      nil,
		"?":                     nil,
		"?&&":                   {},
		"?trace=full":           {"trace": "full"},
		"?color=red&trace=full": {"color": "red", "trace": "full"},
		"?tr%61ce=f%75ll":       {"trace": "full"},
	} {
		res := do(queryServer(t), newRequest(http.MethodGet, "/test/queries"+query, ""))
		body := read(t, res)
		require.Equal(t, http.StatusOK, res.StatusCode, body)
		var got map[string]string
		require.NoError(t, json.Unmarshal([]byte(body), &got))
		if len(want) == 0 {
			assert.Empty(t, got, query)
			continue
		}
		assert.Equal(t, want, got, query)
	}
}

func TestBadQueryParametersAreRefusedAllAtOnce(t *testing.T) {
	fault := func(parameter, rule, detail string) spec.FieldError {
		return spec.FieldError{Parameter: parameter, Rule: rule, Detail: detail}
	}
	cases := []struct {
		name, query string
		faults      []spec.FieldError
	}{
		{"misspelled a name", "trase=full", []spec.FieldError{fault("trase", "unknown-parameter", `there is no query parameter "trase" here; did you mean "trace"?`)}},
		{"made a name up", "zzzzzzzzzz=1", []spec.FieldError{fault("zzzzzzzzzz", "unknown-parameter", `there is no query parameter "zzzzzzzzzz" here; there is trace, color`)}},
		{"misspelled a value", "trace=ful", []spec.FieldError{fault("trace", "enum", `the query parameter trace is "ful"; write one of full (did you mean "full"?)`)}},
		{"gave no value", "trace", []spec.FieldError{fault("trace", "enum", `the query parameter trace is ""; write one of full`)}},
		{"repeated it", "trace=full&trace=full", []spec.FieldError{fault("trace", "repeated-parameter", "the query parameter trace is given 2 times; keep one")}},
		{"wrote it in capitals", "TRACE=full", []spec.FieldError{fault("TRACE", "unknown-parameter", `there is no query parameter "TRACE" here; did you mean "trace"?`)}},
		{"broke the escaping", "trace=%zz", []spec.FieldError{fault("trace", "escaping", `"trace=%zz" is not a query parameter with its value; write a percent sign as %25`)}},
		{"did all of it", "trace=ful&color=read&colour=red", []spec.FieldError{
			fault("trace", "enum", `the query parameter trace is "ful"; write one of full (did you mean "full"?)`),
			fault("color", "enum", `the query parameter color is "read"; write one of red, green, blue (did you mean "red"?)`),
			fault("colour", "unknown-parameter", `there is no query parameter "colour" here; did you mean "color"?`),
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := requireProblem(t, do(queryServer(t), newRequest(http.MethodGet, "/test/queries?"+c.query, "")), http.StatusUnprocessableEntity)
			assert.Equal(t, "/problems/invalid-document", p.Type)
			assert.Equal(t, c.faults, p.Errors)
		})
	}
}

func TestHostileQueriesAreRefusedInFewWords(t *testing.T) {
	many := strings.Repeat("a=1&b=1&c=1&", 500) + "%ff%fe=1"
	for i := range 300 {
		many += "&p" + strings.Repeat("x", i%7) + string(rune('a'+i%26)) + strings.Repeat("y", i/26) + "=1"
	}
	for name, query := range map[string]string{"many": many, "not UTF-8": "%ff%fe=%80", "long": strings.Repeat("x", 9000) + "=1", "control": "%00%0a=%1b[31m"} {
		p := requireProblem(t, do(queryServer(t), newRequest(http.MethodGet, "/test/queries?"+query, "")), http.StatusUnprocessableEntity)
		require.NotEmpty(t, p.Errors, name)
		require.LessOrEqual(t, len(p.Errors), mostFaults, name)
		for _, f := range p.Errors {
			assert.LessOrEqual(t, len(f.Parameter), 64, name)
			assert.LessOrEqual(t, len(f.Detail), 400, name)
		}
	}
}

// Only health endpoints ignore parameters: what asks for health puts on what
// it likes.
func TestOperationsWithoutParametersRefuseAny(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	for _, path := range []string{"/v1/rules", "/v1/rules/unattended", "/v1/chemistries", "/v1/chemistries/lipo", "/problems/not-found"} {
		p := requireProblem(t, do(s, newRequest(http.MethodGet, path+"?page=2", "")), http.StatusUnprocessableEntity)
		assert.Equal(t, []spec.FieldError{{Parameter: "page", Rule: "unknown-parameter", Detail: `there is no query parameter "page" here; this operation takes none: leave it out`}}, p.Errors)
	}
	requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/pack-checks?trace=full", `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}}`)), http.StatusUnprocessableEntity)
	for _, path := range []string{"/livez", "/readyz"} {
		assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodGet, path+"?verbose&x=%zz", "")).StatusCode)
	}
}

func TestAChargePlanTakesTrace(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	body := `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`
	assert.Equal(t, http.StatusOK, do(s, newRequest(http.MethodPost, "/v1/charge-plans?trace=full", body)).StatusCode)
	p := requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/charge-plans?trace=1", body)), http.StatusUnprocessableEntity)
	assert.Equal(t, "trace", p.Errors[0].Parameter)
	assert.Empty(t, p.Errors[0].Pointer)
}
