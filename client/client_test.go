package client_test

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/client"
)

// answering is a client of a server that always answers the same, and the last
// request that it got.
func answering(t *testing.T, status int, media, body string, header ...string) (*client.Client, func() (*http.Request, string)) {
	t.Helper()
	var last *http.Request
	var text []byte
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		last = r
		text, _ = io.ReadAll(r.Body)
		w.Header().Set("Content-Type", media)
		for i := 0; i+1 < len(header); i += 2 {
			w.Header().Set(header[i], header[i+1])
		}
		w.WriteHeader(status)
		_, _ = io.WriteString(w, body)
	}))
	t.Cleanup(s.Close)
	c, err := client.New(s.URL + "/behind/")
	require.NoError(t, err)
	return c, func() (*http.Request, string) { return last, string(text) }
}

func TestACallSendsWhatTheDocumentSays(t *testing.T) {
	c, last := answering(t, 200, "application/json", `{"verdict":"stop"}`)
	full := &client.CreateChargePlanParams{Trace: client.Ptr(client.CreateChargePlanParamsTraceFull)}
	plan, err := c.CreateChargePlan(context.Background(), client.ChargePlanRequest{Pack: client.Pack{Condition: []client.Condition{}}}, full, client.RequestID("tq-desk-0042"))
	require.NoError(t, err)
	assert.Equal(t, client.VerdictStop, plan.Verdict)
	r, body := last()
	assert.Equal(t, "POST /behind/v1/charge-plans?trace=full", r.Method+" "+r.URL.String())
	assert.Equal(t, "application/json", r.Header.Get("Content-Type"))
	assert.Equal(t, "tq-desk-0042", r.Header.Get("X-Request-Id"))
	assert.Equal(t, "application/json, application/problem+json", r.Header.Get("Accept"), "what a client reads is JSON")
	assert.Contains(t, body, `"condition":[]`, "an empty list says that there is none")
	assert.NotContains(t, body, "cell_voltages_v", "a list that is nil says nothing")
	assert.NotContains(t, body, "null")
}

func TestAnIDIsOneSegmentWhateverIsInIt(t *testing.T) {
	c, last := answering(t, 200, "application/json", `{}`)
	_, err := c.GetRule(context.Background(), "a/b?c#d e", nil)
	require.NoError(t, err)
	r, _ := last()
	assert.Equal(t, "/behind/v1/rules/a%2Fb%3Fc%23d%20e", r.RequestURI)
	for _, id := range []string{"", ".", ".."} {
		_, err := c.GetRule(context.Background(), id, nil)
		assert.ErrorContains(t, err, "write the name of an entry", id)
	}
}

func TestAProblemCarriesEveryFault(t *testing.T) {
	c, _ := answering(t, 422, "application/problem+json", `{"type":"/problems/invalid-document","title":"T","status":422,"detail":"D","instance":"i","errors":[{"pointer":"/a","rule":"r","detail":"one"},{"pointer":"","rule":"r","detail":"two"}]}`)
	_, err := c.GetLiveness(context.Background())
	var p *client.ProblemError
	require.ErrorAs(t, err, &p)
	assert.Len(t, p.Errors, 2)
	assert.Equal(t, "T (422): /a: one; two", err.Error())
}

func TestAnOverloadedServiceSaysWhenToTryAgain(t *testing.T) {
	c, _ := answering(t, 503, "application/problem+json", `{"type":"/problems/overloaded","title":"T","status":503,"detail":"D","instance":"i"}`, "Retry-After", "7")
	_, err := c.GetLiveness(context.Background())
	var p *client.ProblemError
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 7*time.Second, p.RetryAfter)
	assert.Equal(t, "T (503): D", err.Error())
}

func TestAnAnswerThatIsNotTheServicesIsAnError(t *testing.T) {
	for _, a := range []struct {
		status            int
		media, body, says string
	}{
		{502, "text/html", "<html>", "Bad Gateway (502)"},
		{500, "application/problem+json", "{", "Internal Server Error (500)"},
		{200, "text/html", "<html>", "is this the service?"},
		{200, "application/json", "{", "unexpected end"},
		{200, "application/json", strings.Repeat(" ", 64<<20+1), "longer than"},
	} {
		c, _ := answering(t, a.status, a.media, a.body)
		_, err := c.GetLiveness(context.Background())
		assert.ErrorContains(t, err, a.says)
	}
}

func TestAnEditorAndAContextEndACall(t *testing.T) {
	no := errors.New("no")
	c, _ := answering(t, 200, "application/json", `{}`)
	_, err := c.GetLiveness(context.Background(), client.EditRequest(func(*http.Request) error { return no }))
	require.ErrorIs(t, err, no)
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = c.GetLiveness(ended)
	require.ErrorIs(t, err, context.Canceled)
	c, err = client.New("http://localhost", client.WithRequestEditor(func(*http.Request) error { return no }))
	require.NoError(t, err)
	_, err = c.GetLiveness(context.Background())
	require.ErrorIs(t, err, no)
}

func TestABaseURLThatCannotBeCalledIsRefused(t *testing.T) {
	for _, u := range []string{"", "localhost:8080", "ftp://localhost", "http://", "http://%zz"} {
		_, err := client.New(u)
		assert.Error(t, err, u)
	}
}

func TestAnAssumedValueIsANumberOrAText(t *testing.T) {
	var a client.Assumed
	require.NoError(t, json.Unmarshal([]byte(`{"value":162.8}`), &a))
	n, err := a.Value.AsAssumedNumber()
	require.NoError(t, err)
	assert.Equal(t, 162.8, n)
	_, err = a.Value.AsAssumedText()
	require.Error(t, err)
	require.NoError(t, a.Value.FromAssumedText("everyday"))
	text, err := json.Marshal(a.Value)
	require.NoError(t, err)
	assert.Equal(t, `"everyday"`, string(text))
}
