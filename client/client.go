package client

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// DefaultTimeout is how long a call may take with the HTTP client that [New]
// makes. The service itself answers in milliseconds.
const DefaultTimeout = 30 * time.Second

// maxAnswer is more than the largest answer that the document admits of an
// operation as it is asked here.
const maxAnswer = 64 << 20

// Client calls one service. It is safe for use by several goroutines.
type Client struct {
	base *url.URL
	http *http.Client
	edit []func(*http.Request) error
}

// Option changes how a [Client] calls.
type Option func(*Client)

// WithHTTPClient calls through this HTTP client, with its own timeout,
// transport and redirects.
func WithHTTPClient(h *http.Client) Option { return func(c *Client) { c.http = h } }

// WithRequestEditor lets a function change every request before it is sent, to
// set a header for a gateway for instance. An error of it ends the call.
func WithRequestEditor(edit func(*http.Request) error) Option {
	return func(c *Client) { c.edit = append(c.edit, edit) }
}

// New makes a client of the service at a base URL such as
// http://localhost:8080. A path in it is kept as a prefix.
func New(baseURL string, options ...Option) (*Client, error) {
	base, err := url.Parse(baseURL)
	if err != nil {
		return nil, fmt.Errorf("client: the base URL: %w", err)
	}
	if base.Scheme != "http" && base.Scheme != "https" || base.Host == "" {
		return nil, fmt.Errorf("client: the base URL is %q; write one like http://localhost:8080", baseURL)
	}
	c := &Client{base: base, http: &http.Client{Timeout: DefaultTimeout}}
	for _, o := range options {
		o(c)
	}
	return c, nil
}

// CallOption changes one call.
type CallOption func(*call)

type call struct {
	edit   []func(*http.Request) error
	header *http.Header
}

// RequestID names the request in the service's log and in its problems: 1 to 64
// letters, digits, dots, dashes and underscores.
func RequestID(id string) CallOption {
	return EditRequest(func(r *http.Request) error {
		r.Header.Set("X-Request-Id", id)
		return nil
	})
}

// EditRequest lets a function change the request before it is sent. An error of
// it ends the call.
func EditRequest(edit func(*http.Request) error) CallOption {
	return func(c *call) { c.edit = append(c.edit, edit) }
}

// SaveHeader stores the header of the answer, an ETag for instance, also where
// the call ends in a [*ProblemError] or in [NotModified].
func SaveHeader(h *http.Header) CallOption { return func(c *call) { c.header = h } }

// Ptr gives a pointer to a value, for the optional fields of requests.
func Ptr[T any](v T) *T { return &v }

// NotModified is the error of a call with an If-None-Match that still holds:
// what was stored is the answer. Find it with errors.Is(err, client.NotModified{}).
type NotModified struct{}

func (NotModified) Error() string {
	return "client: not modified: the stored answer is still the answer"
}

// request is one call, as the generated methods describe it.
type request struct {
	method, path string
	query        url.Values
	header       http.Header
	body         any
	err          error
}

func newRequest(method, path string) *request {
	return &request{method: method, path: path, query: url.Values{}, header: http.Header{}}
}

// inPath fills a parameter in. A dot segment or an empty one would be a
// different path.
func (r *request) inPath(name, value string) {
	if value == "" || value == "." || value == ".." {
		r.err = fmt.Errorf("client: %s is %q; write the name of an entry", name, value)
	}
	r.path = strings.Replace(r.path, "{"+name+"}", url.PathEscape(value), 1)
}

func (r *request) inQuery(name string, value any)  { r.query.Set(name, fmt.Sprint(value)) }
func (r *request) inHeader(name string, value any) { r.header.Set(name, fmt.Sprint(value)) }

func (r *request) build(ctx context.Context, base *url.URL) (*http.Request, error) {
	if r.err != nil {
		return nil, r.err
	}
	var body io.Reader
	if r.body != nil {
		text, err := json.Marshal(r.body)
		if err != nil {
			return nil, fmt.Errorf("client: the request: %w", err)
		}
		body = bytes.NewReader(text)
		r.header.Set("Content-Type", "application/json")
	}
	r.header.Set("Accept", "application/json, application/problem+json")
	at := base.JoinPath(r.path)
	at.RawQuery = r.query.Encode()
	out, err := http.NewRequestWithContext(ctx, r.method, at.String(), body)
	if err != nil {
		return nil, fmt.Errorf("client: the request: %w", err)
	}
	out.Header = r.header
	return out, nil
}

func (c *Client) do(ctx context.Context, r *request, answer any, options []CallOption) error {
	var opts call
	for _, o := range options {
		o(&opts)
	}
	out, err := r.build(ctx, c.base)
	if err != nil {
		return err
	}
	for _, edits := range [][]func(*http.Request) error{c.edit, opts.edit} {
		for _, edit := range edits {
			if err := edit(out); err != nil {
				return err
			}
		}
	}
	in, err := c.http.Do(out)
	if err != nil {
		return fmt.Errorf("client: %w", err)
	}
	defer func() { _ = in.Body.Close() }()
	if opts.header != nil {
		*opts.header = in.Header
	}
	text, err := io.ReadAll(io.LimitReader(in.Body, maxAnswer+1))
	if err != nil {
		return fmt.Errorf("client: reading the answer: %w", err)
	}
	if len(text) > maxAnswer {
		return fmt.Errorf("client: the answer is longer than %d bytes", maxAnswer)
	}
	media, _, _ := mime.ParseMediaType(in.Header.Get("Content-Type"))
	switch {
	case in.StatusCode == http.StatusNotModified:
		return NotModified{}
	case in.StatusCode != http.StatusOK:
		return problemOf(in, media, text)
	case media != "application/json":
		return fmt.Errorf("client: the answer is %q, not application/json; is this the service?", media)
	}
	if err := json.Unmarshal(text, answer); err != nil {
		return fmt.Errorf("client: the answer: %w", err)
	}
	return nil
}
