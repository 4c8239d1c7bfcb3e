//go:build proxy

package contract

import (
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi"
)

// proxied is a service behind prism, which judges by the document what passes.
type proxied struct {
	url      string
	upstream atomic.Pointer[http.Handler]
}

// violation is an entry of the header sl-violations.
type violation struct {
	Location []string `json:"location"`
	Message  string   `json:"message"`
}

func startPrism(t *testing.T) *proxied {
	t.Helper()
	bin, err := filepath.Abs("../../.ci/npm/node_modules/.bin")
	require.NoError(t, err)
	if _, err := os.Stat(filepath.Join(bin, "prism")); err != nil {
		require.NotEqual(t, "true", os.Getenv("CI"), "prism is missing: run npm ci in .ci/npm")
		t.Skip("prism is missing: run npm ci in .ci/npm")
	}
	p := &proxied{}
	p.serve(checker().Watch(t, api.New(api.Config{Document: openapi.JSON()}).Handler()))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		(*p.upstream.Load()).ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)

	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := free.Addr().String()
	require.NoError(t, free.Close())
	_, port, err := net.SplitHostPort(address)
	require.NoError(t, err)
	// Without --errors prism lets everything pass and only reports.
	cmd := exec.CommandContext(t.Context(), filepath.Join(bin, "prism"), "proxy", "--host", "127.0.0.1", "--port", port,
		"--verboseLevel", "error", "../../openapi/openapi.json", s.URL)
	cmd.Env = append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"), "DO_NOT_TRACK=1", "SCARF_ANALYTICS=false")
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	p.url = "http://" + address
	require.Eventually(t, func() bool {
		r, err := http.Get(p.url + "/livez")
		if err != nil {
			return false
		}
		return r.Body.Close() == nil && r.StatusCode == http.StatusOK
	}, 60*time.Second, 100*time.Millisecond, "prism did not start")
	return p
}

func (p *proxied) serve(h http.Handler) { p.upstream.Store(&h) }

// send sends a request through the proxy: what came back, and what prism says
// of the request and of the answer.
func (p *proxied) send(t *testing.T, method, path, body string, header map[string]string) (status int, request, answer []violation) {
	t.Helper()
	var content io.Reader
	if body != "" {
		content = strings.NewReader(body)
	}
	r, err := http.NewRequestWithContext(t.Context(), method, p.url+path, content)
	require.NoError(t, err)
	for name, value := range header {
		r.Header.Set(name, value)
	}
	in, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	require.NoError(t, in.Body.Close())
	var all []violation
	if text := in.Header.Get("sl-violations"); text != "" {
		require.NoError(t, json.Unmarshal([]byte(text), &all))
	}
	for _, v := range all {
		if v.Location[0] == "request" {
			request = append(request, v)
		} else {
			answer = append(answer, v)
		}
	}
	return in.StatusCode, request, answer
}

// POLICY. Which refusals of the service prism cannot foretell from the document:
// the type of the problem or the rule that is broken, with the reason.
func unforeseen() map[string]string {
	return map[string]string{
		"/problems/not-found":      "which names a catalog has is not in the schema, so that it may grow",
		"/problems/not-acceptable": "prism passes the Accept header on unread",
		"/problems/malformed-json": "prism reads the body itself: it refuses what is not JSON, and mends a name that is given twice",
		"segment-has-one-load":     "of two members there is one; a contradiction between fields that the schema leaves out (conform.Contradictions)",
		"unknown-parameter":        "OpenAPI has no word for a closed list of query parameters",
	}
}

// refusal finds the exception that the answer of an example falls under.
func (e *exampleText) refusal(t *testing.T) string {
	t.Helper()
	var p struct {
		Type   string
		Errors []struct{ Rule string }
	}
	require.NoError(t, json.Unmarshal(e.Value, &p))
	rule := p.Type
	for _, f := range p.Errors {
		if _, is := unforeseen()[f.Rule]; !is {
			return p.Type // prism can foretell this one
		}
		rule = f.Rule
	}
	return rule
}

func TestProxyEveryExampleIsWhatPrismReadsInTheDocument(t *testing.T) {
	p := startPrism(t)
	var doc struct {
		Paths map[string]map[string]operationText
	}
	require.NoError(t, json.Unmarshal(openapi.JSON(), &doc))
	n, idle := 0, unforeseen()
	for path, methods := range doc.Paths {
		for _, o := range methods {
			for status, r := range o.Responses {
				for _, content := range r.Content {
					for name, e := range content.Examples {
						n++
						t.Run(path+" "+status+" "+name, func(t *testing.T) { p.replay(t, &e, status, idle) })
					}
				}
			}
		}
	}
	require.GreaterOrEqual(t, n, 24)
	assert.Empty(t, idle, "these exceptions are for nothing")
}

func (p *proxied) replay(t *testing.T, e *exampleText, status string, idle map[string]string) {
	s := api.New(api.Config{Document: openapi.JSON()})
	if e.Request.Draining {
		s.Drain()
	}
	p.serve(checker().Watch(t, s.Handler()))
	got, request, answer := p.send(t, e.Request.Method, e.Request.Path, e.text(), e.Request.Headers)
	assert.Empty(t, answer, "the answer is not what the document says")
	if status[0] != '4' {
		assert.Equal(t, status, strconv.Itoa(got))
		assert.Empty(t, request, "prism finds fault with what the service takes")
		return
	}
	refusal := e.refusal(t)
	_, excepted := unforeseen()[refusal]
	delete(idle, refusal)
	if refusal != "/problems/malformed-json" {
		assert.Equal(t, status, strconv.Itoa(got))
	}
	assert.Equal(t, !excepted, len(request) > 0, "the service refuses it for %s, and prism says %v", refusal, request)
}

// What the service refuses for its shape, prism refuses too, by the document
// alone.
func TestProxyPrismAndTheServiceRefuseTheSameBodies(t *testing.T) {
	p := startPrism(t)
	text, err := os.ReadFile("testdata/readme-request.json")
	require.NoError(t, err)
	header := map[string]string{"Content-Type": "application/json"}
	status, request, answer := p.send(t, "POST", "/v1/charge-plans", string(text), header)
	require.Equal(t, 200, status)
	require.Empty(t, request)
	require.Empty(t, answer)
	for name, row := range map[string]struct {
		path  []string
		value any // nil takes it out
		blind string
	}{
		"no pack":                   {path: []string{"pack"}},
		"no chemistry":              {path: []string{"pack", "chemistry"}},
		"a chemistry of no kind":    {path: []string{"pack", "chemistry"}, value: "lead"},
		"a text for a number":       {path: []string{"pack", "capacity_mah"}, value: "2200"},
		"amp hours":                 {path: []string{"pack", "capacity_mah"}, value: 2.2},
		"a capacity beyond all":     {path: []string{"pack", "capacity_mah"}, value: 1e7},
		"half a cell":               {path: []string{"pack", "cells_series"}, value: 2.5},
		"no cell":                   {path: []string{"pack", "cells_series"}, value: 0},
		"millivolts":                {path: []string{"pack", "cell_voltages_v"}, value: []float64{3720, 3720, 3720}},
		"too many cells":            {path: []string{"pack", "cell_voltages_v"}, value: make([]float64, 33)},
		"a misspelled member":       {path: []string{"pack", "capacity_ah"}, value: 2.2},
		"a condition of no kind":    {path: []string{"pack", "condition"}, value: []string{"tired"}},
		"a condition said twice":    {path: []string{"pack", "condition"}, value: []string{"dented", "dented"}},
		"a date that is none":       {path: []string{"as_of"}, value: "25.11.2026"},
		"a charger without balance": {path: []string{"charger", "balance"}},
		"a number for a yes":        {path: []string{"surroundings", "attended"}, value: 1},
		"two starts of charge":      {path: []string{"pack", "charge_percent"}, value: 40, blind: "two fields contradict each other"},
		"a cell too few":            {path: []string{"pack", "cell_voltages_v"}, value: []float64{3.72, 3.72}, blind: "one field says how long another is"},
		"two goals":                 {path: []string{"goal", "current_a"}, value: 1, blind: "two fields contradict each other"},
	} {
		t.Run(name, func(t *testing.T) {
			var body map[string]any
			require.NoError(t, json.Unmarshal(text, &body))
			at := body
			for _, step := range row.path[:len(row.path)-1] {
				at = at[step].(map[string]any)
			}
			last := row.path[len(row.path)-1]
			if row.value == nil {
				delete(at, last)
			} else {
				at[last] = row.value
			}
			changed, err := json.Marshal(body)
			require.NoError(t, err)
			status, request, answer := p.send(t, "POST", "/v1/charge-plans", string(changed), header)
			assert.Equal(t, 422, status)
			assert.Empty(t, answer)
			assert.Equal(t, row.blind == "", len(request) > 0, "%v", request)
		})
	}
}

// The proxy can fail: it reports answers that are not what the document says.
func TestProxyAWrongAnswerIsNoticed(t *testing.T) {
	p := startPrism(t)
	for name, wrong := range map[string]struct {
		status      int
		media, body string
	}{
		"a number for a text":  {200, "application/json", `{"status":1}`},
		"a member left out":    {200, "application/json", `{}`},
		"a problem of no kind": {500, "application/problem+json", `{"title":5}`},
		"a status of no kind":  {418, "application/json", `{"status":"ok"}`},
	} {
		p.serve(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", wrong.media)
			w.WriteHeader(wrong.status)
			_, _ = io.WriteString(w, wrong.body)
		}))
		_, _, answer := p.send(t, "GET", "/livez", "", nil)
		assert.NotEmpty(t, answer, name)
	}
}
