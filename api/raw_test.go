package api

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// raw is bytes on a connection, and the statuses of all that comes back. Each
// but the pipelined ones means to be one request at most: what lies behind must
// not be taken for another.
type raw struct {
	name, text string
	statuses   []int
}

const goodRequest = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`

func rawRequests() []raw {
	const hidden = "GET /livez HTTP/1.1\r\nHost: test\r\n\r\n"
	post := func(header, body string) string {
		return "POST " + plans + " HTTP/1.1\r\nHost: test\r\n" + jsonType + header + "\r\n" + body
	}
	length := fmt.Sprintf("Content-Length: %d\r\n", len(goodRequest))
	const chunked = "Transfer-Encoding: chunked\r\n"
	chunks := fmt.Sprintf("%x\r\n%s\r\n0\r\n\r\n", len(goodRequest), goodRequest)
	// From here on, RFC 9112 by its sections.
	return []raw{
		// 6.1 and 6.3: which length counts.
		{"a length and chunks", post("Content-Length: 3\r\n"+chunked, chunks) + hidden, []int{200}},
		{"chunks and a length", post(chunked+"Content-Length: 3\r\n", chunks) + hidden, []int{200}},
		{"chunks with more behind", post(chunked, chunks) + hidden, []int{200}},
		{"two lengths that differ", post(length+"Content-Length: 3\r\n", goodRequest) + hidden, []int{400}},
		{"two lengths in one line", post("Content-Length: 3, 4\r\n", goodRequest) + hidden, []int{400}},
		{"a negative length", post("Content-Length: -1\r\n", goodRequest) + hidden, []int{400}},
		{"a length with a sign", post("Content-Length: +5\r\n", goodRequest) + hidden, []int{400}},
		{"a length in hexadecimal", post("Content-Length: 0x10\r\n", goodRequest) + hidden, []int{400}},
		{"a length beyond 64 bits", post("Content-Length: 99999999999999999999\r\n", goodRequest) + hidden, []int{400}},
		{"an empty length", post("Content-Length: \r\n", goodRequest) + hidden, []int{400}},
		// 6.1: a coding that is not understood is answered 501, here by net/http.
		{"an unknown coding", post("Transfer-Encoding: xchunked\r\n", chunks) + hidden, []int{501}},
		{"two codings", post("Transfer-Encoding: gzip, chunked\r\n", chunks) + hidden, []int{501}},
		{"chunked twice", post(chunked+chunked, chunks) + hidden, []int{501}},
		{"chunked with a quote", post("Transfer-Encoding: \"chunked\"\r\n", chunks) + hidden, []int{501}},
		{"chunked with a control", post("Transfer-Encoding: \x0bchunked\r\n", chunks) + hidden, []int{400}},
		// 7.1: chunks.
		{"a chunk with a wrong size", post(chunked, "zz\r\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"a chunk with a negative size", post(chunked, "-2\r\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"a chunk beyond 64 bits", post(chunked, "fffffffffffffffff\r\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"a chunk longer than it says", post(chunked, "1\r\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"a chunk size that ends in a bare LF", post(chunked, strings.Replace(chunks, "\r\n", "\n", 1)) + hidden, []int{400}},
		{"a chunk extension that ends in a bare LF", post(chunked, "2;\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"a long chunk extension", post(chunked, "2;"+strings.Repeat("x", 10000)+"\r\n{}\r\n0\r\n\r\n") + hidden, []int{400}},
		{"no last chunk", post(chunked, "2\r\n{}\r\n"), []int{400}},
		{"a trailer with a length", post(chunked, strings.TrimSuffix(chunks, "\r\n")+"Content-Length: 5\r\n\r\n") + hidden, []int{200}},
		// 3.2: Host.
		{"two hosts", "GET /livez HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", []int{400}},
		{"no host", "GET /livez HTTP/1.1\r\n\r\n", []int{400}},
		{"a host that is none", "GET /livez HTTP/1.1\r\nHost: a b\r\n\r\n", []int{400}},
		{"an absolute target", "GET http://elsewhere/livez HTTP/1.1\r\nHost: test\r\n\r\n", []int{200}},
		// 5.1 and 5.2: field lines.
		{"a space before the colon", post("Content-Length : 3\r\n", goodRequest), []int{400}},
		{"a space before a name", "GET /livez HTTP/1.1\r\n Host: test\r\n\r\n", []int{400}},
		{"no colon", "GET /livez HTTP/1.1\r\nHost: test\r\nrubbish\r\n\r\n", []int{400}},
		{"an empty name", "GET /livez HTTP/1.1\r\nHost: test\r\n: x\r\n\r\n", []int{400}},
		{"a NUL in a value", "GET /livez HTTP/1.1\r\nHost: test\r\nX: a\x00b\r\n\r\n", []int{400}},
		{"a bare CR in a value", "GET /livez HTTP/1.1\r\nHost: test\r\nX: a\rY: b\r\n\r\n", []int{400}},
		{"a folded value", "GET /livez HTTP/1.1\r\nHost: test\r\nX: a\r\n b\r\n\r\n", []int{200}}, // 5.2 lets a server join the lines
		{"lines that end in a bare LF", "GET /livez HTTP/1.1\nHost: test\n\n", []int{200}},        // 2.2 lets it
		{"a header of 64 KiB", "GET /livez HTTP/1.1\r\nHost: test\r\nX: " + strings.Repeat("x", 64<<10) + "\r\n\r\n", []int{431}},
		{"10,000 fields", "GET /livez HTTP/1.1\r\nHost: test\r\n" + strings.Repeat("X: y\r\n", 10000) + "\r\n", []int{431}},
		{"a target of 64 KiB", "GET /" + strings.Repeat("x", 64<<10) + " HTTP/1.1\r\nHost: test\r\n\r\n", []int{431}},
		// 2.3 and 3: the first line.
		{"another major version", "GET /livez HTTP/9.1\r\nHost: test\r\n\r\n", []int{505}},
		{"a version that is none", "GET /livez HTTP/x\r\nHost: test\r\n\r\n", []int{400}},
		{"no version", "GET /livez\r\n\r\n", []int{400}},
		{"two spaces", "GET  /livez HTTP/1.1\r\nHost: test\r\n\r\n", []int{400}},
		{"a method that is none", "G@T /livez HTTP/1.1\r\nHost: test\r\n\r\n", []int{400}},
		{"a target that is none", "GET livez HTTP/1.1\r\nHost: test\r\n\r\n", []int{400}},
		{"a broken escape", "GET /%zz HTTP/1.1\r\nHost: test\r\n\r\n", []int{400}},
		{"the beginning of a TLS connection", "\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", []int{400}},
		{"only line breaks", "\r\n\r\n\r\n", []int{400}},
		{"nothing", "", nil},
		// RFC 9110, section 10.1.1.
		{"an expectation that cannot be met", post("Expect: wonders\r\n"+length, goodRequest), []int{417}},
		{"an expectation that can", post("Expect: 100-continue\r\nConnection: close\r\n"+length, goodRequest), []int{100, 200}},
		// 9.3.2: pipelining, which is meant to be several.
		{"two good requests", post(length, goodRequest) + hidden, []int{200, 200}},
		{"a refused one and a good one", post("Content-Length: 2\r\n", "{}") + hidden, []int{422, 200}},
		{"a body for GET", "GET /livez HTTP/1.1\r\nHost: test\r\nContent-Length: " + fmt.Sprint(len(hidden)) + "\r\n\r\n" + hidden, []int{200}},
		// 8: a body that breaks off.
		{"half a body", post(length, goodRequest[:40]), []int{400}},
		{"no body", post(length, ""), []int{400}},
	}
}

// exchange sends bytes on a connection of its own, says that there are no more,
// and reads all that comes back.
func exchange(t *testing.T, address, text string) []byte {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	require.NoError(t, err)
	defer func() { _ = conn.Close() }()
	require.NoError(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
	_, _ = io.WriteString(conn, text) // a server that refuses may close before all is sent
	_ = conn.(*net.TCPConn).CloseWrite()
	back, _ := io.ReadAll(conn) // it may also reset what it has not read
	return back
}

// The service answers what it must to anything that comes over a socket, and
// lives on.
func TestRawRequests(t *testing.T) {
	cases := rawRequests()
	require.GreaterOrEqual(t, len(cases), 50)
	s := testServer(Config{}, nil)
	r := serve(t, s, DefaultTimeouts())
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			back := bufio.NewReader(bytes.NewReader(exchange(t, r.address, c.text)))
			var statuses []int
			for {
				res, err := http.ReadResponse(back, nil)
				if err != nil {
					break
				}
				statuses = append(statuses, res.StatusCode)
				if res.StatusCode != http.StatusContinue && len(statuses) == 1 {
					requireAsDocumented(t, strings.Replace(c.text, "http://elsewhere", "", 1), res)
				}
				if res.StatusCode >= 500 {
					assert.Empty(t, res.Header.Get(headerRequestID), "an answer of 5xx from the service itself")
				}
			}
			assert.Equal(t, c.statuses, statuses)
		})
	}
	requireAlive(t, r, s)
}

// requireAlive checks that the service still answers, that nothing is held, and
// that it stops; goleak then sees that nothing is left.
func requireAlive(t *testing.T, r *running, s *Server) {
	t.Helper()
	res, err := r.post(plans, goodRequest)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.Contains(t, read(t, res), `"settings"`)
	eventually(t, func() bool { return len(s.gate.slots) == 0 && len(s.readers.slots) == 0 })
	r.stop()
	require.NoError(t, <-r.ended)
}

func TestSlowAndAbsentSenders(t *testing.T) {
	timeouts := DefaultTimeouts()
	timeouts.ReadHeader, timeouts.Read, timeouts.Idle = 100*time.Millisecond, 200*time.Millisecond, 200*time.Millisecond
	s := testServer(Config{Logger: quiet(t)}, nil)
	r := serve(t, s, timeouts)
	for name, text := range map[string]string{
		"not a byte":            "",
		"half a first line":     "POST /v1/ch",
		"half a header":         "POST " + plans + " HTTP/1.1\r\nHost: te",
		"idle after an answer":  "GET /livez HTTP/1.1\r\nHost: test\r\n\r\n",
		"a body that is slow":   "POST " + plans + " HTTP/1.1\r\nHost: test\r\n" + jsonType + "Content-Length: 100\r\n\r\n{",
		"a chunk that is slow":  "POST " + plans + " HTTP/1.1\r\nHost: test\r\n" + jsonType + "Transfer-Encoding: chunked\r\n\r\n5\r\n{",
		"a body that never was": "POST " + plans + " HTTP/1.1\r\nHost: test\r\n" + jsonType + "Expect: 100-continue\r\nContent-Length: 100\r\n\r\n",
	} {
		t.Run(name, func(t *testing.T) {
			conn, err := net.Dial("tcp", r.address)
			require.NoError(t, err)
			defer func() { _ = conn.Close() }()
			require.NoError(t, conn.SetDeadline(time.Now().Add(5*time.Second)))
			_, err = io.WriteString(conn, text)
			require.NoError(t, err)
			back, err := io.ReadAll(conn) // ends when the service ends the connection
			require.NoError(t, err, "the connection was kept: %s", back)
			assert.NotContains(t, string(back), "HTTP/1.1 5")
		})
	}
	// Some leave without a word, at any point.
	for i := range 60 {
		conn, err := net.Dial("tcp", r.address)
		require.NoError(t, err)
		text := "POST " + plans + " HTTP/1.1\r\nHost: test\r\n" + jsonType + fmt.Sprintf("Content-Length: %d\r\n\r\n", len(goodRequest)) + goodRequest
		_, err = io.WriteString(conn, text[:len(text)*i/59])
		require.NoError(t, err)
		require.NoError(t, conn.(*net.TCPConn).SetLinger(0)) // a reset
		require.NoError(t, conn.Close())
	}
	requireAlive(t, r, s)
}
