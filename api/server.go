package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"log/slog"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"github.com/labstack/echo/v4"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

// Defaults of Config.
const (
	DefaultBodyLimit   = 1 << 20
	DefaultMaxInFlight = 64
	DefaultMaxQueue    = 256
	DefaultQueueWait   = 100 * time.Millisecond
)

// maxReaders is the number of bodies that may be on their way at once. Memory
// is taken as bytes arrive, so a slow sender costs little more than its
// connection.
const maxReaders = 4096

// Planner answers what is asked with a document, as charge.Planner does. It must
// be safe for concurrent use.
type Planner interface {
	check.Judge
	storage.Charger
	// Plan answers a request that has passed the Validator.
	Plan(q *charge.Request) *charge.Plan
	// Explain is Plan with a trace.
	Explain(q *charge.Request) *charge.Plan
}

// Config is what a Server is built from. Zero numbers stand for the defaults.
type Config struct {
	// Cells are the chemistries, and Rules the catalog, that are served and planned with.
	Cells *cell.Table
	Rules []rule.Rule
	// Planner answers charge plans. Left out, one is built on Cells and Rules.
	Planner Planner
	// Validator judges the documents received. Left out, one is built.
	Validator *spec.Validator
	// Around, where given, is called for each question that is asked with a document and has been read and found valid: with the operation's id, and what works the answer out. What it returns is sent. It must be safe for concurrent use.
	Around func(operation string, answer func() any) any
	// Document is the OpenAPI document. Left out, there is none at /openapi.json.
	Document []byte
	// Pages are served as they are, beside the operations.
	Pages []Page
	// Logger receives what went wrong inside. Left out, nothing is logged.
	Logger *slog.Logger
	// BodyLimit is the size in bytes of the largest body that is read.
	BodyLimit int64
	// MaxInFlight is the number of requests that are worked on at once.
	MaxInFlight int
	// MaxQueue is the number of further requests that wait for a turn.
	MaxQueue int
	// QueueWait is how long a request waits for its turn before it is refused.
	QueueWait time.Duration
}

func (c Config) withDefaults() Config {
	if c.Cells == nil {
		c.Cells = cell.NewTable()
	}
	if c.Rules == nil {
		c.Rules = rule.All()
	}
	if c.Planner == nil {
		c.Planner = charge.NewPlanner(c.Cells, c.Rules)
	}
	if c.Validator == nil {
		c.Validator = spec.NewValidator()
	}
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	if c.BodyLimit == 0 {
		c.BodyLimit = DefaultBodyLimit
	}
	if c.MaxInFlight == 0 {
		c.MaxInFlight = DefaultMaxInFlight
	}
	if c.MaxQueue == 0 {
		c.MaxQueue = DefaultMaxQueue
	}
	if c.QueueWait == 0 {
		c.QueueWait = DefaultQueueWait
	}
	return c
}

// Server answers HTTP requests for the operations of the table.
type Server struct {
	cfg      Config
	echo     *echo.Echo
	paths    []string // of the operations and of the pages
	gate     *gate    // for work
	readers  *gate    // for bodies that are on their way
	draining atomic.Bool
}

// New builds a Server for every operation of the service.
func New(cfg Config) *Server {
	cfg = cfg.withDefaults()
	return newServer(cfg, Operations(cfg))
}

func newServer(cfg Config, operations []Operation) *Server {
	s := &Server{
		cfg:     cfg,
		echo:    echo.New(),
		gate:    newGate(cfg.MaxInFlight, cfg.MaxQueue, cfg.QueueWait),
		readers: newGate(maxReaders, 0, 0),
	}
	s.echo.HideBanner, s.echo.HidePort = true, true
	// Without this, echo 4.16.0 believes any X-Forwarded-For header
	// (GHSA-246p-cpwv-v3jq).
	s.echo.IPExtractor = echo.ExtractIPDirect()
	s.echo.HTTPErrorHandler = s.fail
	s.echo.Pre(s.edge)
	for i := range operations {
		op := &operations[i]
		path := strings.NewReplacer("{", ":", "}", "").Replace(op.Path)
		s.echo.Add(op.Method, path, s.handler(op))
		if op.Method == http.MethodGet {
			s.echo.Add(http.MethodHead, path, s.handler(op))
		}
		if strings.Contains(path, ":") {
			// Without a path below it, the router lets a parameter at the end
			// take in slashes.
			s.echo.RouteNotFound(path+"/*", func(echo.Context) error { return echo.ErrNotFound })
		}
		s.paths = append(s.paths, op.Path)
	}
	s.addPages(cfg.pages())
	return s
}

// Handler is the Server as a handler of HTTP requests.
func (s *Server) Handler() http.Handler { return s.echo }

// Drain makes /readyz answer 503 from now on. Everything else goes on being
// answered.
func (s *Server) Drain() { s.draining.Store(true) }

// handler serves one operation. The checks that need only the header come
// first, so that a refusal costs neither a slot nor the reading of a body.
func (s *Server) handler(op *Operation) echo.HandlerFunc {
	return func(c echo.Context) error {
		form := &op.Produces[0]
		if !op.Ungated {
			var err error
			if form, err = negotiate(c.Request().Header.Values("Accept"), op.Produces); err != nil {
				return err
			}
		}
		if op.Request != nil {
			if err := checkHeader(c.Request(), s.cfg.BodyLimit); err != nil {
				return err
			}
		}
		query, err := readQuery(c.Request().URL.RawQuery, op)
		if err != nil {
			return err
		}
		if form, err = settle(form, c.Request().Header.Values("Accept"), op, query); err != nil {
			return err
		}
		body, err := s.answer(c, op, form, query)
		if err != nil {
			return err
		}
		return send(c, op, form, body)
	}
}

// read reads the body of one request. It does so before the gate, so that slow
// senders cannot hold the slots for work; they have a limit of their own. While
// the gate is full nothing is read at all: the refusal comes at once.
func (s *Server) read(c echo.Context) ([]byte, error) {
	if s.gate.full() {
		return nil, &overloadedError{}
	}
	if err := s.readers.enter(c.Request().Context()); err != nil {
		return nil, err
	}
	defer s.readers.leave()
	return readBody(c.Response().Writer, c.Request(), s.cfg.BodyLimit)
}

// answer does the work of one request, in a slot of the gate. The slot is
// free again before the answer is sent: a slow reader does not hold it.
func (s *Server) answer(c echo.Context, op *Operation, form *Representation, query map[string]string) ([]byte, error) {
	r := c.Request()
	in := input{query: query, draining: s.draining.Load()}
	if op.Request != nil {
		var err error
		if in.body, err = s.read(c); err != nil {
			return nil, err
		}
	}
	if !op.Ungated {
		if err := s.gate.enter(r.Context()); err != nil {
			return nil, err
		}
		defer s.gate.leave()
	}
	if values := c.ParamValues(); len(values) > 0 {
		in.name = values[0]
		// The router matches an escaped path where there is one, so that %2F
		// does not divide a name.
		if name, err := url.PathUnescape(in.name); err == nil && r.URL.RawPath != "" {
			in.name = name
		}
	}
	answer, err := op.handle(in)
	if err != nil {
		return nil, err
	}
	return form.Encode(answer)
}

// send writes a finished answer.
func send(c echo.Context, op *Operation, form *Representation, body []byte) error {
	if op.Cached {
		return sendCached(c, form.MediaType, tagOf(body), body)
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	write(c, http.StatusOK, withCharset(form.MediaType), body)
	return nil
}

// tagOf is a strong entity tag (RFC 9110, section 8.8.3).
func tagOf(body []byte) string {
	sum := sha256.Sum256(body)
	return `"` + hex.EncodeToString(sum[:16]) + `"`
}

// write sends a whole body. If that fails a client has left, which is no fault of
// the service and can be told to nobody.
func write(c echo.Context, status int, media string, body []byte) {
	h := c.Response().Header()
	h.Set("Content-Type", media)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	c.Response().WriteHeader(status)
	if c.Request().Method == http.MethodHead {
		return
	}
	_, _ = bytes.NewReader(body).WriteTo(c.Response())
}

// matches says whether an If-None-Match header names the tag, by the weak
// comparison of RFC 9110, sections 8.8.3.2 and 13.1.2.
func matches(values []string, tag string) bool {
	for _, v := range values {
		for item := range strings.SplitSeq(v, ",") {
			item = strings.TrimSpace(item)
			if item == "*" || strings.TrimPrefix(item, "W/") == tag {
				return true
			}
		}
	}
	return false
}
