package api

import (
	"bufio"
	"context"
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

// running is a server on loopback that a test stops.
type running struct {
	url, address string
	stop         context.CancelFunc
	ended        chan error
	client       *http.Client
}

func serve(t *testing.T, s *Server, timeouts Timeouts) *running {
	t.Helper()
	var lc net.ListenConfig
	listener, err := lc.Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	r := &running{
		url: "http://" + listener.Addr().String(), address: listener.Addr().String(),
		stop: stop, ended: make(chan error, 1), client: &http.Client{Transport: contract().Transport(t, &http.Transport{})},
	}
	go func() { r.ended <- s.Serve(ctx, listener, timeouts) }()
	t.Cleanup(func() {
		stop()
		r.client.CloseIdleConnections()
	})
	return r
}

func (r *running) post(path, body string) (*http.Response, error) {
	return r.client.Post(r.url+path, "application/json", strings.NewReader(body))
}

// RFC 9110, section 15.5.9: 408, and the connection is closed.
func TestABodyThatIsTooSlow(t *testing.T) {
	timeouts := DefaultTimeouts()
	timeouts.Read = 100 * time.Millisecond
	s := testServer(Config{Logger: quiet(t)}, nil)
	r := serve(t, s, timeouts)
	for name, request := range map[string]string{
		"with a length": "Content-Length: 100\r\n\r\n{\"kn",
		"in chunks":     "Transfer-Encoding: chunked\r\n\r\n4\r\n{\"kn\r\n",
		"not a byte":    "Content-Length: 100\r\n\r\n",
	} {
		t.Run(name, func(t *testing.T) {
			conn, err := net.Dial("tcp", r.address)
			require.NoError(t, err)
			defer func() { _ = conn.Close() }()
			require.NoError(t, conn.SetDeadline(time.Now().Add(5*time.Second)))
			_, err = io.WriteString(conn, "POST "+questions+" HTTP/1.1\r\nHost: test\r\n"+jsonType+request)
			require.NoError(t, err)
			res, err := http.ReadResponse(bufio.NewReader(conn), nil)
			require.NoError(t, err)
			assert.True(t, res.Close)
			p := requireProblem(t, res, http.StatusRequestTimeout)
			assert.Equal(t, "/problems/body-too-slow", p.Type)
		})
	}
	r.stop()
	require.NoError(t, <-r.ended)
	assert.Empty(t, s.gate.slots)
}

func TestARequestBeingWorkedOnIsAnsweredAfterTheSignalToStop(t *testing.T) {
	b := newBlock()
	s := testServer(Config{Logger: quiet(t)}, b)
	r := serve(t, s, DefaultTimeouts())
	answer := make(chan *http.Response, 1)
	go func() {
		res, err := r.post("/test/blocks", goodQuestion)
		assert.NoError(t, err)
		answer <- res
	}()
	<-b.begun
	r.stop()
	eventually(t, s.draining.Load)
	// No new connection is taken.
	eventually(t, func() bool {
		conn, err := net.Dial("tcp", r.address)
		if err == nil {
			_ = conn.Close()
		}
		return err != nil
	})
	select {
	case err := <-r.ended:
		require.Fail(t, "the server stopped under a request", "%v", err)
	default:
	}
	close(b.end)
	res := <-answer
	assert.Equal(t, http.StatusOK, res.StatusCode)
	assert.NotEmpty(t, read(t, res))
	require.NoError(t, <-r.ended)
}

func TestReadyzTurnsBeforeTheServerStops(t *testing.T) {
	timeouts := DefaultTimeouts()
	timeouts.Drain = time.Second
	r := serve(t, testServer(Config{Logger: quiet(t)}, nil), timeouts)
	status := func(path string) int {
		res, err := r.client.Get(r.url + path)
		require.NoError(t, err)
		_ = read(t, res)
		return res.StatusCode
	}
	assert.Equal(t, http.StatusOK, status("/readyz"))
	r.stop()
	eventually(t, func() bool { return status("/readyz") == http.StatusServiceUnavailable })
	res, err := r.post(questions, goodQuestion)
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, res.StatusCode)
	_ = read(t, res)
	require.NoError(t, <-r.ended)
}

func TestARequestThatDoesNotEndIsCutAfterTheGrace(t *testing.T) {
	timeouts := DefaultTimeouts()
	timeouts.Grace = 20 * time.Millisecond
	b := newBlock()
	r := serve(t, testServer(Config{Logger: quiet(t)}, b), timeouts)
	cut := make(chan error, 1)
	go func() {
		res, err := r.post("/test/blocks", goodQuestion)
		if err == nil {
			err = res.Body.Close()
		}
		cut <- err
	}()
	<-b.begun
	r.stop()
	assert.ErrorContains(t, <-r.ended, "20ms")
	assert.Error(t, <-cut)
	close(b.end)
}

func TestServeSaysThatItsListenerIsGone(t *testing.T) {
	var lc net.ListenConfig
	listener, err := lc.Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	require.NoError(t, listener.Close())
	assert.Error(t, testServer(Config{}, nil).Serve(t.Context(), listener, DefaultTimeouts()))
}

func TestAClientThatLeavesIsNoFault(t *testing.T) {
	s := testServer(Config{Logger: quiet(t)}, nil)
	r := serve(t, s, DefaultTimeouts())
	for range 20 {
		conn, err := net.Dial("tcp", r.address)
		require.NoError(t, err)
		_, err = fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: test\r\n%sContent-Length: 100\r\n\r\n{", questions, jsonType)
		require.NoError(t, err)
		require.NoError(t, conn.Close())
	}
	eventually(t, func() bool { return len(s.gate.slots) == 0 })
	r.stop()
	require.NoError(t, <-r.ended)
}
