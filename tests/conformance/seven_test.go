package conformance

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/openapi/conform"
)

// What was asked wrongly decides the status; the service looks in this order.
// Zero stands for what only the body decides.
type wrongs struct{ method, accept, media, query, form, entry bool }

func (w wrongs) status() int {
	switch {
	case w.method:
		return http.StatusMethodNotAllowed
	case w.accept:
		return http.StatusNotAcceptable
	case w.media:
		return http.StatusUnsupportedMediaType
	case w.query:
		return http.StatusUnprocessableEntity
	case w.form: // there is none with these query parameters
		return http.StatusNotAcceptable
	case w.entry:
		return http.StatusNotFound
	}
	return 0
}

// seldom is true one time in n.
func seldom(t *rapid.T, n int, label string) bool { return rapid.IntRange(1, n).Draw(t, label) == n }

func pick(t *rapid.T, label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }

// drawBody draws a body, and says whether the schema forbids it and whether
// nothing in it contradicts anything.
func drawBody(t *rapid.T, o *operation) (text []byte, broken, settled bool) {
	body, _ := drawValue(t, o.body, "body").(node)
	if seldom(t, 3, "sensible") {
		sensible(t, body, at(follow(o.body), "properties"))
	}
	if settled = !seldom(t, 4, "contradictions"); settled {
		settle(body)
		if s := at(body, "surroundings"); s != nil && o.path == stores {
			delete(s, "parallel_board")
		}
	}
	switch rapid.IntRange(0, 6).Draw(t, "mistake") {
	case 0:
		broken = breakObject(t, o.body, body) != ""
	case 1, 2:
		broken = breakValue(t, o.body, body) != ""
	}
	text, err := json.Marshal(body)
	require.NoError(t, err)
	if !broken && seldom(t, 10, "garble") {
		return []byte(garble(t, string(text))), true, false
	}
	return text, broken, settled
}

func drawQuery(t *rapid.T, o *operation) (query string, wrong bool) {
	if seldom(t, 2, "query") {
		return "", false
	}
	if len(o.query) > 0 && rapid.Bool().Draw(t, "right") {
		p := o.query[0]
		value := pick(t, "value", texts(at(p, "schema")["enum"])...)
		return url.QueryEscape(p["name"].(string)) + "=" + url.QueryEscape(value), false
	}
	query = pick(t, "wrong query", "x=1", "trace", "trace=", "trace=FULL", "trace=full&trace=full", "trace=full&x=1", "%zz", "a=%ff", "=", "TRACE=full", ";", "trace=full;x", "+", strings.Repeat("y", 3000))
	return query, o.negotiates
}

func drawQuestion(t *rapid.T, o *operation) (q *question, w wrongs, broken, settled bool) {
	q = &question{method: o.method, path: o.path, header: http.Header{}}
	if o.entries != nil {
		q.name = pick(t, "entry", o.entries...)
		if w.entry = seldom(t, 3, "no entry"); w.entry {
			q.name = pick(t, "no such entry", "x", "lip", "LIPO", "a/b", "..", "%", "é", "\u0000", "?", strings.Repeat("z", 500))
		}
	}
	if o.body != nil {
		q.body, broken, settled = drawBody(t, o)
		q.header.Set("Content-Type", pick(t, "media", "application/json", "Application/JSON", "application/json; charset=utf-8"))
		if w.media = seldom(t, 12, "another media type"); w.media {
			q.header.Set("Content-Type", pick(t, "which media", "", "text/plain", "application/json; charset=latin1", "application/jsonx", "*/*", ";"))
		} else if w.media = seldom(t, 20, "coding"); w.media {
			q.header.Set("Content-Encoding", pick(t, "which coding", "gzip", "br", "x"))
		}
	}
	switch rapid.IntRange(0, 7).Draw(t, "accept") {
	case 0, 1:
		q.header.Set("Accept", pick(t, "accepted", "*/*", "application/json", "application/*;q=0.1", "text/html, */*;q=0.8", "application/json, image/png"))
	case 2:
		q.header.Set("Accept", pick(t, "not accepted", "image/png", "*/*;q=0", "application/problem+json", ";;", "application/json;q=0", "application/json;profile=x"))
		w.accept = o.negotiates
	case 3, 4:
		q.header.Set("Accept", pick(t, "text accepted", "text/plain", "text/*", "text/plain, application/json;q=0.9", "TEXT/plain;charset=utf-8;q=0.4, image/png"))
		has := slices.Contains(o.forms, "text/plain")
		json := strings.Contains(q.header.Get("Accept"), "json")
		w.accept, w.form = o.negotiates && !has && !json, has && !json
	}
	q.query, w.query = drawQuery(t, o)
	w.form = w.form && strings.Contains(q.query, "trace")
	if o.cached && seldom(t, 4, "conditional") {
		q.header.Set("If-None-Match", pick(t, "tag", "*", `"x", *`, `"x"`, "x", ""))
	}
	if rapid.Bool().Draw(t, "named") {
		q.header.Set("X-Request-Id", pick(t, "name", "tq-1", "", "a b", "é", strings.Repeat("x", 64), strings.Repeat("x", 65)))
	}
	switch {
	case seldom(t, 8, "another method"):
		q.method = pick(t, "method", "GET", "POST", "PUT", "PATCH", "DELETE", "TRACE", "CONNECT", "OPTIONS", "QUERY", "get", "X")
		w.method = q.method != o.method && q.method != http.MethodOptions
	case o.method == http.MethodGet && seldom(t, 5, "head"):
		q.method = http.MethodHead
	}
	return q, w, broken, settled
}

// The seven checks, for every operation of the document. Watch makes the second
// to the fifth; the others are here.
//
//  1. no status of 500 or above;
//  2. the status is documented;
//  3. the content type is documented;
//  4. the headers are as documented;
//  5. the body is as documented;
//  6. what the schema forbids is refused, and what it lets through is accepted;
//  7. a method that is not documented is answered 405, with the right Allow.
func TestSevenChecks(t *testing.T) {
	for _, o := range operations() {
		t.Run(o.id, func(t *testing.T) {
			seen, asked := map[string]int{}, 0
			rapid.Check(t, func(t *rapid.T) {
				q, w, broken, settled := drawQuestion(t, &o)
				answer := ask(t, q)
				requireLawful(t, &o, q, w, broken, settled, answer)
				asked++
				if strings.HasPrefix(answer.Header().Get("Content-Type"), "text/plain") {
					seen["text"]++
				}
				if strings.Contains(answer.Body.String(), `"settings":{`) {
					seen["settings"]++
				}
				seen[fmt.Sprintf("%d broken=%t", answer.Code, broken)]++
			})
			t.Log(seen)
			if asked < 1000 {
				return // too few to have met every kind
			}
			require.Positive(t, seen["200 broken=false"])
			require.Positive(t, seen["405 broken=false"])
			require.Equal(t, slices.Contains(o.forms, "text/plain"), seen["text"] > 0)
			if o.body != nil {
				require.Positive(t, seen["422 broken=true"])
				if o.path == plans {
					require.Positive(t, seen["settings"])
				}
				require.Positive(t, seen["400 broken=true"])
				require.Zero(t, seen["200 broken=true"])
			}
		})
	}
}

// requireLawful is what an answer must be beside being as documented.
func requireLawful(t *rapid.T, o *operation, q *question, w wrongs, broken, settled bool, answer *httptest.ResponseRecorder) {
	require.Less(t, answer.Code, 500, "%s", answer.Body)
	if q.method == http.MethodOptions {
		require.Equal(t, http.StatusNoContent, answer.Code)
		return
	}
	if status := w.status(); status != 0 {
		require.Equal(t, status, answer.Code, "%+v: %s", q, answer.Body)
		return
	}
	if o.body == nil && strings.Contains(q.header.Get("If-None-Match"), "*") {
		require.Equal(t, http.StatusNotModified, answer.Code, "%+v", q)
		return
	}
	if o.body == nil {
		require.Equal(t, http.StatusOK, answer.Code, "%+v: %s", q, answer.Body)
		return
	}
	require.NoError(t, checker().Agree(o.path, q.body, answer.Code, answer.Body.Bytes()))
	if broken {
		require.Contains(t, []int{400, 422}, answer.Code, "%s", q.body)
		if conform.IJSON(q.body) {
			require.Error(t, checker().JudgeRequest(o.method, o.path, q.body), "this breaks nothing: %s", q.body)
		}
	} else if settled {
		require.Equal(t, http.StatusOK, answer.Code, "%s\n%s", q.body, answer.Body)
	}
}
