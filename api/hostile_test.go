package api

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	plans     = "/v1/charge-plans"
	questions = "/test/questions"
	jsonType  = "Content-Type: application/json\r\n"
)

// hostile is one request as bytes, and what must come back.
type hostile struct {
	name           string
	method, target string
	header         string // lines, each with its CR and LF
	body           string
	status         int
	kind           string
	pointers       []string
	allow          string
	words          string
}

func hostileRequests() []hostile {
	long := strings.Repeat("x", 70)
	post := func(name, target, header, body string, status int, kind, words string, pointers ...string) hostile {
		return hostile{name: name, method: "POST", target: target, header: header, body: body, status: status, kind: kind, words: words, pointers: pointers}
	}
	broken := func(name, body, words string, pointers ...string) hostile {
		return post(name, plans, jsonType, body, 400, kindMalformed, words, pointers...)
	}
	invalid := func(name, body, words string, pointers ...string) hostile {
		return post(name, questions, jsonType, body, 422, kindInvalid, words, pointers...)
	}
	media := func(name, header, words string) hostile {
		return post(name, plans, header, "{}", 415, kindMediaType, words)
	}
	wrong := func(method, target, allow string) hostile {
		return hostile{name: "used " + method + " on " + target, method: method, target: target, header: jsonType, status: 405, kind: kindMethod, allow: allow, words: method}
	}
	missing := func(name, method, target, words string) hostile {
		return hostile{name: name, method: method, target: target, header: jsonType, status: 404, kind: kindNotFound, words: words}
	}
	chunked := jsonType + "Transfer-Encoding: chunked\r\n"
	return []hostile{
		// RFC 9110, section 15.5.1, for bodies that are not I-JSON (RFC 7493).
		broken("sent no body", "", "empty", ""),
		broken("sent only a line break", "\r\n", "empty", ""),
		broken("sent text", "hello", "not expected here", ""),
		broken("sent a form", "pack=lipo&cells=3", "", ""),
		broken("sent XML", "<pack/>", "", ""),
		broken("sent YAML", "pack:\n  chemistry: lipo\n", "", ""),
		broken("sent half", `{"pack":{"chemistry":"li`, "ends too early", "/pack/chemistry"),
		broken("sent one brace", "{", "ends too early", ""),
		broken("sent two documents", "{} {}", "behind the end", ""),
		broken("sent a document and rubbish", "{}\x00", "behind the end", ""),
		broken("left a comma behind", `{"pack":{"cell_voltages_v":[3.7,]}}`, "comma", "/pack/cell_voltages_v"),
		broken("gave a field twice", `{"pack":{"cells_series":3,"cells_series":4}}`, "twice", "/pack/cells_series"),
		broken("gave the pack twice", `{"pack":{},"pack":{}}`, "pack is given twice", "/pack"),
		broken("wrote NaN", `{"pack":{"capacity_mah":NaN}}`, "NaN", "/pack/capacity_mah"),
		broken("wrote 1e999", `{"pack":{"capacity_mah":1e999}}`, "double", "/pack/capacity_mah"),
		broken("wrote 1e999 in an unknown field", `{"x":[1,1e999]}`, "double", "/x/1"),
		broken("sent Latin-1", "{\"pack\":{\"id\":\"caf\xe9\"}}", "UTF-8", "/pack/id"),
		broken("sent an overlong encoding", "{\"pack\":{\"id\":\"\xc0\xaf\"}}", "UTF-8", "/pack/id"),
		broken("sent UTF-16", "\xff\xfe{\x00}\x00", "UTF-8", ""),
		broken("sent a byte order mark", "\xef\xbb\xbf{}", "byte order mark", ""),
		broken("sent half a surrogate pair", `{"pack":{"id":"\uD83D"}}`, "surrogate", "/pack/id"),
		broken("nested 17 deep", strings.Repeat("[", 17)+strings.Repeat("]", 17), "16 deep", ""),
		broken("nested 500,000 deep", strings.Repeat(`{"":`, 200_000), "16 deep", ""),
		broken("wrote a hexadecimal number", `{"curve_points":0x10}`, "", ""),
		broken("put a NUL into a text", "{\"as_of\":\"\x00\"}", "U+0000", "/as_of"),
		post("sent half in chunks", plans, chunked, "2\r\n{\"\r\n0\r\n\r\n", 400, kindMalformed, "ends too early", ""),
		post("sent a broken chunk", plans, chunked, "zz\r\n{}\r\n0\r\n\r\n", 400, kindUnreadable, "could not be read"),

		// RFC 9110, section 15.5.21.
		invalid("sent an empty object", `{}`, "knob is missing", "/knob"),
		invalid("sent a list", `[]`, "the body is a list", ""),
		invalid("sent a number", `3`, "the body is 3", ""),
		invalid("sent null", `null`, "the body is null", ""),
		invalid("quoted a number", `{"knob":{"count":"3"}}`, "remove the quotes", "/knob/count"),
		invalid("wrote a fraction", `{"knob":{"count":2.5}}`, "whole number", "/knob/count"),
		invalid("wrote null", `{"knob":{"count":3,"size_mm":null}}`, "leave the field out", "/knob/size_mm"),
		invalid("wrote a negative size", `{"knob":{"count":3,"size_mm":-1}}`, "negative", "/knob/size_mm"),
		invalid("wrote a word that is not one", `{"knob":{"count":3,"color":"rot"}}`, "red, green, blue", "/knob/color"),
		invalid("misspelled a field", `{"knob":{"count":3,"colour":"red"}}`, "did you mean", "/knob/colour"),
		invalid("wrote a field in capitals", `{"knob":{"COUNT":3}}`, `did you mean \"count\"`, "/knob/COUNT"),
		invalid("smuggled a prototype", `{"knob":{"count":3},"__proto__":{"a":1}}`, "not a field", "/__proto__"),
		invalid("used a slash in a name", `{"knob":{"count":3},"a/b~":1}`, "not a field", "/a~1b~0"),
		invalid("contradicted himself", `{"knob":{"count":3},"loud":true,"turns":1}`, "keep one", ""),
		invalid("made several mistakes", `{"nme":1,"knob":{"count":"x","size_mm":0}}`, "faults", "/nme", "/knob/count", "/knob/size_mm"),
		invalid("wrote a number beyond an integer", `{"knob":{"count":1e300}}`, "far out of range", "/knob/count"),
		invalid("made a list too long", `{"knob":{"count":3},"spares":[`+strings.Repeat("{},", 5000)+`{}]}`, "5001 entries", "/spares"),

		// RFC 9110, section 15.5.16.
		media("sent no content type", "", "no Content-Type"),
		media("sent a text", "Content-Type: text/plain\r\n", "text/plain"),
		media("sent a form's type", "Content-Type: application/x-www-form-urlencoded\r\n", "application/json"),
		media("sent another charset", "Content-Type: application/json; charset=latin1\r\n", "latin1"),
		media("sent another parameter", "Content-Type: application/json; profile=x\r\n", "profile"),
		media("sent two content types", "Content-Type: application/json\r\nContent-Type: text/plain\r\n", "several"),
		media("sent a broken content type", "Content-Type: application/json; charset\r\n", "application/json"),
		media("sent a wildcard as a content type", "Content-Type: */*\r\n", "application/json"),
		media("sent another kind of JSON", "Content-Type: application/merge-patch+json\r\n", "merge-patch"),
		media("compressed the body", jsonType+"Content-Encoding: gzip\r\n", "gzip"),
		media("compressed the body twice", jsonType+"Content-Encoding: identity\r\nContent-Encoding: br\r\n", "br"),

		// RFC 9110, section 15.5.14.
		post("announced too much", plans, jsonType+"Content-Length: 2000000\r\n", "", 413, kindTooLarge, "1048576"),
		post("announced far too much", plans, jsonType+"Content-Length: 9000000000000000000\r\n", "", 413, kindTooLarge, "1048576"),
		post("sent too much", plans, jsonType, strings.Repeat(" ", 1<<20)+"{", 413, kindTooLarge, "1048576"),
		post("sent too much in chunks", plans, chunked, fmt.Sprintf("%x\r\n%s\r\n0\r\n\r\n", 1<<20+1, strings.Repeat(" ", 1<<20+1)), 413, kindTooLarge, "1048576"),

		// RFC 9110, section 15.5.5.
		missing("asked for the root", "GET", "/", "nothing at"),
		missing("left a letter out of the path", "POST", "/v1/charge-plan", "/v1/charge-plans"),
		missing("wrote the path in capitals", "POST", "/V1/Charge-Plans", "/v1/charge-plans"),
		missing("left a slash behind the path", "POST", "/v1/charge-plans/", "/v1/charge-plans"),
		missing("asked for another version", "POST", "/v2/charge-plans", "/v1/charge-plans"),
		missing("doubled a slash", "GET", "//livez", "/livez"),
		missing("climbed out", "GET", "/../../etc/passwd", "nothing at"),
		missing("climbed out in code", "GET", "/%2e%2e/%2e%2e/etc/passwd", "nothing at"),
		missing("asked for a long path", "GET", "/"+long, "…"),
		missing("put a NUL into the path", "GET", "/livez%00", "/livez"),
		missing("asked for a script", "GET", "/<script>alert(1)</script>", "nothing at"),
		missing("asked for a thing that there is not", "GET", "/test/things/alfa", `did you mean \"alpha\"`),
		missing("asked for a thing with a slash in its name", "GET", "/test/things/al%2Fpha", `al/pha`),
		missing("asked for a part of a thing", "GET", "/test/things/alpha/beta", "nothing at"),
		missing("asked for a part of a thing in a form that there is not", "GET", "/v1/rules/unattended/x?y=1", "nothing at"),
		missing("changed a part of a thing", "PUT", "/test/things/alpha/beta", "nothing at"),
		missing("changed nothing of a thing", "PUT", "/v1/rules//", "nothing at"),
		missing("asked what can be done to a part of a thing", "OPTIONS", "/v1/rules/unattended/", "nothing at"),
		missing("changed a thing without a name", "PUT", "/v1/rules/", "nothing at"),
		missing("asked for a thing without a name", "GET", "/v1/rules/", ""),
		missing("asked what can be done to a thing without a name", "OPTIONS", "/v1/rules/", "nothing at"),
		missing("asked for a thing far from any", "GET", "/test/things/zzzzzzzz", "alpha, beta"),
		missing("asked for a problem that there is not", "GET", "/problems/not-fund", `not-found`),

		// RFC 9110, section 15.5.6.
		wrong("GET", plans, "OPTIONS, POST"),
		wrong("PUT", plans, "OPTIONS, POST"),
		wrong("PATCH", plans, "OPTIONS, POST"),
		wrong("DELETE", plans, "OPTIONS, POST"),
		wrong("TRACE", plans, "OPTIONS, POST"),
		wrong("BREW", plans, "OPTIONS, POST"),
		wrong("post", plans, "OPTIONS, POST"),
		wrong("POST", "/livez", "OPTIONS, GET, HEAD"),
		wrong("DELETE", "/test/things/alpha", "OPTIONS, GET, HEAD"),
		wrong("PROPFIND", "/readyz", "OPTIONS, GET, HEAD"),

		// RFC 9110, section 15.5.7.
		post("wanted a picture", plans, jsonType+"Accept: image/png\r\n", "{}", 406, kindNotAcceptable, "application/json"),
		post("wanted nothing", plans, jsonType+"Accept: */*;q=0\r\n", "{}", 406, kindNotAcceptable, "application/json"),
		post("wanted only problems", plans, jsonType+"Accept: application/problem+json\r\n", "{}", 406, kindNotAcceptable, "application/json"),
		{name: "wanted a page of the catalog", method: "GET", target: "/test/things", header: "Accept: text/html\r\n", status: 406, kind: kindNotAcceptable},
		post("asked for an answer in no charset", questions, jsonType+"Accept: application/json;charset=ebcdic\r\n", "{}", 406, kindNotAcceptable, "text/plain"),
	}
}

func TestHostileRequests(t *testing.T) {
	requests := hostileRequests()
	require.GreaterOrEqual(t, len(requests), 60)
	ts := start(t, testServer(Config{Logger: quiet(t)}, nil))
	for _, h := range requests {
		t.Run(h.name, func(t *testing.T) {
			res := sendHostile(t, ts, h)
			require.Less(t, res.StatusCode, 500)
			if h.method == http.MethodHead {
				require.Equal(t, h.status, res.StatusCode)
				return
			}
			if h.target == plans && (h.kind == kindMalformed || h.kind == kindInvalid) && !strings.Contains(h.header, "chunked") {
				body := read(t, res)
				require.NoError(t, contract().Agree(plans, []byte(h.body), res.StatusCode, []byte(body)))
				res.Body = io.NopCloser(strings.NewReader(body))
			}
			p := requireProblem(t, res, h.status)
			assert.Equal(t, "/problems/"+h.kind, p.Type)
			assert.Contains(t, allWords(p), strings.ReplaceAll(h.words, `\"`, `"`))
			var pointers []string
			for _, f := range p.Errors {
				pointers = append(pointers, f.Pointer)
			}
			if h.status == 400 && h.kind == kindMalformed || h.status == 422 {
				assert.Equal(t, h.pointers, pointers)
			} else {
				assert.Empty(t, pointers)
			}
			// RFC 9110, section 10.2.1: Allow in every 405.
			assert.Equal(t, h.allow, res.Header.Get("Allow"))
		})
	}
}

func allWords(p Problem) string {
	words := p.Detail
	for _, f := range p.Errors {
		words += "\n" + f.Detail
	}
	return words
}

// sendHostile writes a request as it is, which a client would not.
func sendHostile(t *testing.T, ts *httptest.Server, h hostile) *http.Response {
	t.Helper()
	head := h.method + " " + h.target + " HTTP/1.1\r\nHost: test\r\n" + h.header
	if !strings.Contains(h.header, "Content-Length") && !strings.Contains(h.header, "Transfer-Encoding") {
		head += fmt.Sprintf("Content-Length: %d\r\n", len(h.body))
	}
	return sendRaw(t, ts, head+"\r\n"+h.body)
}

func sendRaw(t *testing.T, ts *httptest.Server, request string) *http.Response {
	t.Helper()
	conn, err := net.Dial("tcp", ts.Listener.Addr().String())
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close() })
	require.NoError(t, conn.SetDeadline(time.Now().Add(10*time.Second)))
	// A server that refuses a body may close before all of it is sent.
	go func() { _, _ = io.WriteString(conn, request) }()
	method, _, _ := strings.Cut(request, " ")
	res, err := http.ReadResponse(bufio.NewReader(conn), &http.Request{Method: method})
	require.NoError(t, err)
	requireAsDocumented(t, request, res)
	return res
}

// requireAsDocumented judges an answer from the service. What net/http answers
// by itself, before the service is asked, has no request id.
func requireAsDocumented(t *testing.T, request string, res *http.Response) {
	t.Helper()
	if res.Header.Get(headerRequestID) == "" {
		return
	}
	words := strings.SplitN(request, " ", 3)
	path, _, _ := strings.Cut(words[1], "?")
	require.NoError(t, contract().JudgeResponse(words[0], path, res))
}

// RFC 9112, section 6.1: a request with both a length and chunks ends its
// connection, so that nothing can hide behind it.
func TestNothingIsServedBehindARequestWithTwoLengths(t *testing.T) {
	ts := start(t, testServer(Config{Logger: quiet(t)}, nil))
	body := `{"knob":{"count":3}}`
	res := sendRaw(t, ts, "POST "+questions+" HTTP/1.1\r\nHost: test\r\n"+jsonType+"Content-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n"+
		fmt.Sprintf("%x\r\n%s\r\n0\r\n\r\n", len(body), body)+"GET /livez HTTP/1.1\r\nHost: test\r\n\r\n")
	assert.Equal(t, http.StatusOK, res.StatusCode)
	assert.True(t, res.Close)
	assert.NotContains(t, read(t, res), `"status"`)
}

func TestTheHeadersOfARefusedBodySayWhatIsRead(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	// RFC 9110, section 15.5.16 and 12.5.3.
	res := do(s, newRequest(http.MethodPost, plans, "{}", "Content-Type", "text/plain"))
	assert.Equal(t, "application/json", res.Header.Get("Accept"))
	res = do(s, newRequest(http.MethodPost, plans, "{}", "Content-Encoding", "gzip"))
	assert.Equal(t, "identity", res.Header.Get("Accept-Encoding"))
}
