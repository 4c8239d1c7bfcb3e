//go:build load

// Package load measures what an answer costs over what reading its request and
// writing it cost anyway. It only reports: no time is asserted, as
// no two machines agree on one.
package load

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	path    = "/v1/charge-plans"
	clients = 2 // connections at work at once
	round   = 200 * time.Millisecond
	rounds  = 9
)

const small = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`

// asked is a request that is measured.
type asked struct {
	path string
	body []byte
}

// requests are those that are measured: of charge plans the README's, which is
// ready at a time, the same at an everyday pace, and the smallest there is; of
// every other question the first example of the document.
func requests(b *testing.B) map[string]asked {
	b.Helper()
	readme, err := os.ReadFile("../contract/testdata/readme-request.json")
	require.NoError(b, err)
	everyday := bytes.Replace(readme, []byte(`{"ready_in_min": 75}`), []byte(`{"pace": "everyday"}`), 1)
	require.NotEqual(b, readme, everyday)
	out := map[string]asked{"readme": {path, readme}, "everyday": {path, everyday}, "small": {path, []byte(small)}}
	for question, file := range map[string]string{
		"storage": "createStoragePlan/hours", "run": "createRuntimeEstimate/tug", "cycle": "createRuntimeEstimate/hydroplane",
		"drain": "createStandingDrainEstimate/alarm", "label": "createLabelReading/read", "transport": "createTransportCheck/carry-on", "check": "createPackCheck/alone",
	} {
		text, err := os.ReadFile("../../openapi/gen/examples/" + file + ".json")
		require.NoError(b, err)
		var example struct {
			Path   string         `json:"path"`
			Body   jsontext.Value `json:"body"`
			Unread any            `json:",unknown"`
		}
		require.NoError(b, json.Unmarshal(text, &example))
		operation, _, _ := strings.Cut(file, "/")
		out[question] = asked{pathOf(b, operation), example.Body}
	}
	return out
}

func pathOf(b *testing.B, operation string) string {
	b.Helper()
	for _, o := range api.Operations(api.Config{}) {
		if o.ID == operation {
			return o.Path
		}
	}
	require.FailNow(b, "no such operation", operation)
	return ""
}

// subject is a request with the service and with a handler that has the answer
// already: that does everything about the request but work its answer out.
type subject struct {
	asked
	real, null http.Handler
}

func newSubject(b *testing.B, a asked) subject {
	b.Helper()
	s := subject{asked: a, real: api.New(api.Config{}).Handler()}
	var once sync.Once
	var kept any
	s.null = api.New(api.Config{Around: func(_ string, answer func() any) any {
		once.Do(func() { kept = answer() })
		return kept
	}}).Handler()
	var want, got *httptest.ResponseRecorder
	for range 2 { // the second time it is kept
		want, got = httptest.NewRecorder(), httptest.NewRecorder()
		s.real.ServeHTTP(want, newRequest(a))
		s.null.ServeHTTP(got, newRequest(a))
	}
	require.Equal(b, http.StatusOK, want.Code, want.Body)
	require.Equal(b, want.Body.String(), got.Body.String(), "both handlers must send the same bytes")
	return s
}

func newRequest(a asked) *http.Request {
	r := httptest.NewRequest(http.MethodPost, a.path, bytes.NewReader(a.body))
	r.Header.Set("Content-Type", "application/json")
	return r
}

// client sends one request again and again on one connection. It does the least
// that it can, as it shares the machine with the service.
type client struct {
	conn    net.Conn
	in      *bufio.Reader
	request []byte
}

func dial(b *testing.B, address string, a asked) *client {
	b.Helper()
	conn, err := net.Dial("tcp", address)
	require.NoError(b, err)
	b.Cleanup(func() { _ = conn.Close() })
	head := fmt.Sprintf("POST %s HTTP/1.1\r\nHost: load\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n", a.path, len(a.body))
	return &client{conn: conn, in: bufio.NewReaderSize(conn, 64<<10), request: append([]byte(head), a.body...)}
}

func (c *client) do() error {
	if _, err := c.conn.Write(c.request); err != nil {
		return err
	}
	length := -1
	for first := true; ; first = false {
		line, err := c.in.ReadSlice('\n')
		if err != nil {
			return err
		}
		if first && !bytes.HasPrefix(line, []byte("HTTP/1.1 200 ")) {
			return fmt.Errorf("answered %q", line)
		}
		if len(line) == 2 {
			break
		}
		if value, is := bytes.CutPrefix(line, []byte("Content-Length: ")); is {
			if length, err = strconv.Atoi(strings.TrimSpace(string(value))); err != nil {
				return err
			}
		}
	}
	if length < 0 {
		return io.ErrUnexpectedEOF
	}
	_, err := c.in.Discard(length)
	return err
}

// throughput is the number of answers a second that the clients get for a round.
func throughput(b *testing.B, all []*client) float64 {
	b.Helper()
	type outcome struct {
		answers int
		err     error
	}
	done := make(chan outcome)
	began := time.Now()
	for _, c := range all {
		go func() {
			var o outcome
			for o.err == nil && time.Since(began) < round {
				o.err = c.do()
				o.answers++
			}
			done <- o
		}()
	}
	sum := 0
	for range all {
		o := <-done
		require.NoError(b, o.err)
		sum += o.answers
	}
	return float64(sum) / time.Since(began).Seconds()
}

func dialAll(b *testing.B, h http.Handler, a asked) []*client {
	b.Helper()
	s := httptest.NewServer(h)
	b.Cleanup(s.Close)
	var all []*client
	for range clients {
		all = append(all, dial(b, s.Listener.Addr().String(), a))
	}
	return all
}

// report reports the median of the ratios, and their range.
func report(b *testing.B, ratios []float64) {
	b.Helper()
	slices.Sort(ratios)
	b.ReportMetric(ratios[len(ratios)/2], "ratio")
	b.ReportMetric(ratios[0], "ratio-min")
	b.ReportMetric(ratios[len(ratios)-1], "ratio-max")
}

// BenchmarkPlanOverNull reports the throughput of each question over HTTP as a share
// of that of a handler that does everything but work the answer out. Each pair of rounds is
// its own ratio, in an order that alternates, so that a machine that slows down
// slows both.
func BenchmarkPlanOverNull(b *testing.B) {
	for name, a := range requests(b) {
		b.Run(name, func(b *testing.B) {
			s := newSubject(b, a)
			null, plan := dialAll(b, s.null, a), dialAll(b, s.real, a)
			throughput(b, null)
			throughput(b, plan)
			var ratios []float64
			var nulls, plans float64
			for b.Loop() {
				for i := range rounds {
					var n, p float64
					if i%2 == 0 {
						n, p = throughput(b, null), throughput(b, plan)
					} else {
						p, n = throughput(b, plan), throughput(b, null)
					}
					ratios, nulls, plans = append(ratios, p/n), nulls+n, plans+p
				}
			}
			report(b, ratios)
			b.ReportMetric(nulls/float64(len(ratios)), "null/s")
			b.ReportMetric(plans/float64(len(ratios)), "plan/s")
		})
	}
}

// BenchmarkPlanOverNullInProcess is the same without a network.
func BenchmarkPlanOverNullInProcess(b *testing.B) {
	for name, a := range requests(b) {
		b.Run(name, func(b *testing.B) {
			s := newSubject(b, a)
			timed := func(h http.Handler) float64 {
				began := time.Now()
				for range 500 {
					h.ServeHTTP(httptest.NewRecorder(), newRequest(a))
				}
				return time.Since(began).Seconds()
			}
			var ratios []float64
			for b.Loop() {
				for range rounds {
					ratios = append(ratios, timed(s.null)/timed(s.real))
				}
			}
			report(b, ratios)
		})
	}
}

// BenchmarkPart measures the parts of a plan over HTTP alone.
func BenchmarkPart(b *testing.B) {
	planner, validator := charge.NewPlanner(cell.NewTable(), rule.All()), spec.NewValidator()
	decoder := api.NewDecoder[charge.Request](validator)
	for name, a := range requests(b) {
		if a.path != path {
			continue
		}
		s := newSubject(b, a)
		question, err := decoder.Decode(a.body)
		require.NoError(b, err)
		answer := planner.Plan(question)
		for part, do := range map[string]func(){
			"decode-and-validate": func() { _, _ = decoder.Decode(a.body) },
			"validate":            func() { validator.Validate(question) },
			"plan":                func() { planner.Plan(question) },
			"encode":              func() { _, _ = json.Marshal(answer, json.Deterministic(true)) },
			"null":                func() { s.null.ServeHTTP(httptest.NewRecorder(), newRequest(a)) },
		} {
			b.Run(name+"/"+part, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					do()
				}
			})
		}
	}
}
