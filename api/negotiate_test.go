package api

import (
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// RFC 9110, sections 12.4.2 and 12.5.1.
func TestNegotiate(t *testing.T) {
	forms := []Representation{{MediaType: "application/json"}, {MediaType: "text/html"}, {MediaType: "text/plain"}}
	cases := []struct {
		name   string
		accept []string
		want   string // empty where nothing is acceptable
	}{
		{"said nothing", nil, "application/json"},
		{"said nothing in so many words", []string{" "}, "application/json"},
		{"takes anything", []string{"*/*"}, "application/json"},
		{"asks for the first", []string{"application/json"}, "application/json"},
		{"asks for the last", []string{"text/plain"}, "text/plain"},
		{"asks in capitals", []string{"TEXT/Plain"}, "text/plain"},
		{"takes any text", []string{"text/*"}, "text/html"},
		{"asks as a browser does", []string{"text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"}, "text/html"},
		{"prefers by quality", []string{"application/json;q=0.5, text/plain;q=0.8, text/html;q=0.7"}, "text/plain"},
		{"lets the more specific range decide", []string{"text/*;q=0.9, text/html;q=0.1, application/json;q=0.5"}, "text/plain"},
		{"lets the order break a tie", []string{"text/plain, text/html"}, "text/html"},
		{"rules out the first", []string{"application/json;q=0, */*;q=0.1"}, "text/html"},
		{"spreads the list over two headers", []string{"image/png", "text/plain"}, "text/plain"},
		{"names the charset", []string{"application/json; charset=UTF-8"}, "application/json"},
		{"names the charset and a quality", []string{"application/json;charset=utf-8;q=0, text/plain"}, "text/plain"},
		{"asks for another charset", []string{"application/json;charset=latin1"}, ""},
		{"asks for a profile that there is not", []string{`application/json;profile="x"`}, ""},
		{"asks for what there is not", []string{"image/png"}, ""},
		{"asks for another version of JSON", []string{"application/vnd.api+json"}, ""},
		{"rules everything out", []string{"*/*;q=0"}, ""},
		{"rules everything out but what there is not", []string{"image/png, */*;q=0"}, ""},
		{"wrote nonsense", []string{";;;,/,json"}, ""},
		{"wrote nonsense beside sense", []string{"json, text/plain;q=x, text/html;q=0.1"}, "text/html"},
		{"wrote a quality above 1", []string{"text/plain;q=2, text/html"}, "text/html"},
		{"wrote a quality that is not a number", []string{"text/plain;q=NaN"}, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			form, err := negotiate(c.accept, forms)
			if c.want == "" {
				var e *notAcceptableError
				require.ErrorAs(t, err, &e)
				assert.Equal(t, []string{"application/json", "text/html", "text/plain"}, e.offered)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.want, form.MediaType)
		})
	}
}

func TestAnswerInTheFormAskedFor(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	res := do(s, newRequest(http.MethodPost, "/test/questions", goodQuestion, "Accept", "text/plain"))
	assert.Equal(t, http.StatusOK, res.StatusCode)
	assert.Equal(t, "text/plain; charset=utf-8", res.Header.Get("Content-Type"))
	assert.Equal(t, "Accept", res.Header.Get("Vary"))
	assert.Equal(t, "third 0.3333333333333333\n", read(t, res))

	p := requireProblem(t, do(s, newRequest(http.MethodPost, "/test/questions", goodQuestion, "Accept", "image/png")), http.StatusNotAcceptable)
	assert.Contains(t, p.Detail, "application/json, text/plain")
}

// A trace is JSON: who takes nothing else is told, and who takes both gets it.
func TestAParameterThatLeavesJSONAlone(t *testing.T) {
	op := &Operation{Query: []Parameter{{Name: "color"}, {Name: "trace", JSONAlone: true}}}
	text, plain := &Representation{MediaType: "text/plain"}, map[string]string{"color": "red"}
	traced := map[string]string{"trace": "full"}

	form, err := settle(text, []string{"text/plain"}, op, plain)
	require.NoError(t, err)
	assert.Equal(t, text, form)
	form, err = settle(text, []string{"text/plain, application/json;q=0.1"}, op, traced)
	require.NoError(t, err)
	assert.Equal(t, "application/json", form.MediaType)
	_, err = settle(text, []string{"text/plain"}, op, traced)
	assert.EqualError(t, err, "the Accept header admits none of what there is: application/json; leave out the query parameter trace, or accept that")
}

func TestAChargePlanInPlainText(t *testing.T) {
	const q = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"condition":["swollen"]},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`
	s := testServer(Config{Logger: quiet(t)}, nil)
	for accept, media := range map[string]string{
		"text/plain":                                 "text/plain; charset=utf-8",
		"text/*;q=0.5, application/json;q=0.4":       "text/plain; charset=utf-8",
		"text/html, text/plain;q=0.1":                "text/plain; charset=utf-8",
		"*/*":                                        "application/json",
		"text/plain;q=0.2, */*;q=0.3":                "application/json",
		"application/json;q=0.5, text/plain;q=0.500": "application/json",
	} {
		res := do(s, newRequest(http.MethodPost, "/v1/charge-plans", q, "Accept", accept))
		assert.Equal(t, http.StatusOK, res.StatusCode, accept)
		assert.Equal(t, media, res.Header.Get("Content-Type"), accept)
		assert.Equal(t, strings.HasPrefix(media, "text/"), strings.HasPrefix(read(t, res), "STOP: do not charge."), accept)
	}
	// What is wrong with a request is a problem, whatever form is asked for.
	requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/charge-plans", "{}", "Accept", "text/plain")), http.StatusUnprocessableEntity)
	requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/charge-plans", q, "Accept", "text/html")), http.StatusNotAcceptable)
	requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/charge-plans?trace=full", q, "Accept", "text/plain")), http.StatusNotAcceptable)
	requireProblem(t, do(s, newRequest(http.MethodPost, "/v1/pack-checks", q, "Accept", "text/plain")), http.StatusNotAcceptable)
}

func TestARendererOfAnotherAnswerFails(t *testing.T) {
	_, err := as("text/plain", "", func(reply) ([]byte, error) { return nil, nil }).Encode(3)
	assert.Error(t, err)
}
