package main

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHealthAsksTheServiceThatRuns(t *testing.T) {
	s := startService(t, noEnvironment, "--listen", "127.0.0.1:0")
	_, port, _ := strings.Cut(strings.TrimPrefix(s.url, "http://"), ":")
	for _, listen := range []string{"127.0.0.1:" + port, "0.0.0.0:" + port, ":" + port} {
		env := func(name string) string { return map[string]string{"WATTKEEL_LISTEN": listen}[name] }
		assert.Equal(t, result{exitOK, "", ""}, programWith(t, env, strings.NewReader(""), "health"), listen)
	}
	assert.Equal(t, exitOK, program(t, "", "health", "--url", s.url+"/livez").code)
	assert.Equal(t, exitNo, program(t, "", "health", "--url", s.url+"/nowhere").code)
	s.end(t)
	r := program(t, "", "health", "--url", s.url+"/readyz")
	assert.Equal(t, exitNo, r.code)
	assert.Contains(t, r.stderr, "connection refused")
}

func TestHealthIsNoForWhatDoesNotAnswerOK(t *testing.T) {
	release := make(chan struct{})
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/draining":
			w.WriteHeader(http.StatusServiceUnavailable)
		case "/elsewhere":
			http.Redirect(w, r, "/", http.StatusFound)
		case "/slow":
			<-release
		}
	}))
	defer s.Close()
	defer close(release)
	assert.Equal(t, exitOK, program(t, "", "health", "--url", s.URL).code)
	for path, why := range map[string]string{"/draining": "503", "/elsewhere": "302", "/slow": "deadline exceeded"} {
		began := time.Now()
		r := program(t, "", "health", "--timeout", "300ms", "--url", s.URL+path)
		assert.Equal(t, exitNo, r.code, path)
		assert.Contains(t, r.stderr, why)
		assert.Less(t, time.Since(began), 10*time.Second, path)
	}
}

func TestHealthFindsTheAddress(t *testing.T) {
	cases := map[string]string{
		"":                "http://127.0.0.1:8080/readyz",
		":9000":           "http://127.0.0.1:9000/readyz",
		"0.0.0.0:9000":    "http://127.0.0.1:9000/readyz",
		"[::]:9000":       "http://[::1]:9000/readyz",
		"localhost:9000":  "http://localhost:9000/readyz",
		"192.0.2.7:9000":  "http://192.0.2.7:9000/readyz",
		"[2001:db8::1]:9": "http://[2001:db8::1]:9/readyz",
	}
	for listen, want := range cases {
		got, err := healthURL("", listen)
		require.NoError(t, err, listen)
		assert.Equal(t, want, got, listen)
	}
}

func TestHealthRefusesWhatItCannotAsk(t *testing.T) {
	cases := []struct{ listen, arg, why string }{
		{"127.0.0.1:0", "", "does not say where the service is"},
		{"8080", "", "does not say where the service is"},
		{"", "--url=127.0.0.1:8080", "give a whole address"},
		{"", "--url=ftp://127.0.0.1/", "give a whole address"},
		{"", "--timeout=0s", "--timeout must be 1ms or more"},
		{"", "now", `unexpected argument "now"`},
	}
	for _, c := range cases {
		env := func(name string) string { return map[string]string{"WATTKEEL_LISTEN": c.listen}[name] }
		args := []string{"health"}
		if c.arg != "" {
			args = append(args, c.arg)
		}
		r := programWith(t, env, strings.NewReader(""), args...)
		assert.Equal(t, exitBroken, r.code, c)
		assert.Contains(t, r.stderr, c.why)
	}
}
