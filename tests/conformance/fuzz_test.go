package conformance

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every endpoint has a target of its own; what is in testdata/fuzz is asked on
// every run of the tests, and is where the fuzzer begins. Whatever comes in,
// the answer is as documented, no status is 500 or above, and the document's
// verdict on a body is the service's.

func FuzzChargePlan(f *testing.F)      { fuzzBody(f, plans) }
func FuzzRuntimeEstimate(f *testing.F) { fuzzBody(f, runs) }
func FuzzPackCheck(f *testing.F)       { fuzzBody(f, checks) }
func FuzzStoragePlan(f *testing.F)     { fuzzBody(f, stores) }
func FuzzStandingDrain(f *testing.F)   { fuzzBody(f, drains) }
func FuzzTransportCheck(f *testing.F)  { fuzzBody(f, moves) }
func FuzzLabelReading(f *testing.F)    { fuzzBody(f, labels) }

func fuzzBody(f *testing.F, path string) {
	f.Fuzz(func(t *testing.T, body []byte, query, accept string) {
		q := &question{method: http.MethodPost, path: path, query: query, header: http.Header{"Content-Type": {"application/json"}}, body: body}
		if accept != "" {
			q.header.Set("Accept", accept)
		}
		w := ask(t, q)
		require.Less(t, w.Code, 500, "%s", w.Body)
		// A form that cannot be had and a query that is wrong are found first.
		if query == "" && w.Code != http.StatusNotAcceptable {
			require.NoError(t, checker().Agree(path, body, w.Code, w.Body.Bytes()))
		}
	})
}

func FuzzRule(f *testing.F)      { fuzzEntry(f, "/v1/rules/{id}") }
func FuzzChemistry(f *testing.F) { fuzzEntry(f, "/v1/chemistries/{name}") }
func FuzzProblem(f *testing.F)   { fuzzEntry(f, "/problems/{slug}") }

func fuzzEntry(f *testing.F, path string) {
	f.Fuzz(func(t *testing.T, name, query, accept, match string) {
		require.Less(t, askGet(t, path, name, query, accept, match), 500)
	})
}

func FuzzRules(f *testing.F)       { fuzzList(f, "/v1/rules") }
func FuzzChemistries(f *testing.F) { fuzzList(f, "/v1/chemistries") }
func FuzzLiveness(f *testing.F)    { fuzzList(f, "/livez") }
func FuzzReadiness(f *testing.F)   { fuzzList(f, "/readyz") }

func fuzzList(f *testing.F, path string) {
	f.Fuzz(func(t *testing.T, query, accept, match string) {
		require.Less(t, askGet(t, path, "", query, accept, match), 500)
	})
}

func askGet(t *testing.T, path, name, query, accept, match string) int {
	q := &question{method: http.MethodGet, path: path, name: name, query: query, header: http.Header{}}
	if accept != "" {
		q.header.Set("Accept", accept)
	}
	if match != "" {
		q.header.Set("If-None-Match", match)
	}
	return ask(t, q).Code
}

// FuzzAnyRequest asks with any method for any path.
func FuzzAnyRequest(f *testing.F) {
	f.Fuzz(func(t *testing.T, method, path, query, id string) {
		if !validMethod(method) {
			t.Skip("net/http refuses it before anybody is asked")
		}
		q := &question{method: method, path: "/{rest}", name: path, query: query, header: http.Header{"X-Request-Id": {id}}}
		require.Less(t, ask(t, q).Code, 500)
		q = &question{method: method, path: "/" + path, query: query, header: http.Header{}}
		require.Less(t, ask(t, q).Code, 500)
	})
}

// validMethod is RFC 9110, section 5.6.2: a token.
func validMethod(s string) bool {
	for _, b := range []byte(s) {
		if b <= ' ' || b >= 0x7f {
			return false
		}
	}
	return s != ""
}
