package contract

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi"
)

// operationText is an operation of the document, its examples as the document
// spells them.
type operationText struct {
	Responses map[string]struct {
		Content map[string]struct {
			Examples map[string]exampleText
		}
	}
}

type exampleText struct {
	Value   json.RawMessage
	Request struct {
		Method, Path string
		Headers      map[string]string
		Body         json.RawMessage
		Text         *string
		Draining     bool
	} `json:"x-request"`
}

// text is the body of the request.
func (e *exampleText) text() string {
	switch {
	case e.Request.Text != nil:
		return *e.Request.Text
	case e.Request.Body != nil:
		return compact(e.Request.Body)
	}
	return ""
}

// replay sends the request of an example again.
func (e *exampleText) replay(t *testing.T) *httptest.ResponseRecorder {
	t.Helper()
	s := api.New(api.Config{Document: openapi.JSON()})
	if e.Request.Draining {
		s.Drain()
	}
	r := httptest.NewRequest(e.Request.Method, e.Request.Path, strings.NewReader(e.text()))
	for name, value := range e.Request.Headers {
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	checker().Watch(t, s.Handler()).ServeHTTP(w, r)
	return w
}

// answer is the body of the answer, which a text is as it stands.
func (e *exampleText) answer() string {
	var text string
	if json.Unmarshal(e.Value, &text) == nil {
		return text
	}
	return compact(e.Value) + "\n"
}

// compact is a JSON text without the white space that the document has.
func compact(v json.RawMessage) string {
	var b bytes.Buffer
	if err := json.Compact(&b, v); err != nil {
		return err.Error()
	}
	return b.String()
}

// Every example of an answer in the document is what the service answers, byte
// for byte; and each header that the document promises is there.
func TestTheExamplesAreTrue(t *testing.T) {
	var doc struct {
		Paths map[string]map[string]operationText
	}
	require.NoError(t, json.Unmarshal(openapi.JSON(), &doc))
	loaded, err := openapi3.NewLoader().LoadFromData(openapi.JSON())
	require.NoError(t, err)
	n := 0
	for path, methods := range doc.Paths {
		for method, o := range methods {
			for status, r := range o.Responses {
				for media, content := range r.Content {
					for name, e := range content.Examples {
						n++
						t.Run(path+" "+status+" "+name, func(t *testing.T) {
							w := e.replay(t)
							assert.Equal(t, status, strconv.Itoa(w.Code))
							got, _, _ := strings.Cut(w.Header().Get("Content-Type"), ";") // Watch has judged the rest
							assert.Equal(t, media, got)
							assert.Equal(t, e.answer(), w.Body.String())
							promised := loaded.Paths.Value(path).GetOperation(strings.ToUpper(method)).Responses.Value(status).Value.Headers
							for header := range promised {
								if header != "Accept" && header != "Accept-Encoding" { // one of them, as they say
									assert.NotEmpty(t, w.Header().Get(header), header)
								}
							}
						})
					}
				}
			}
		}
	}
	require.GreaterOrEqual(t, n, 30)
}

// The comparison can fail.
func TestAnExampleThatIsNotTrueIsNoticed(t *testing.T) {
	var e exampleText
	require.NoError(t, json.Unmarshal([]byte(`{"value":{"status":"fine"},"x-request":{"method":"GET","path":"/livez"}}`), &e))
	assert.NotEqual(t, e.answer(), e.replay(t).Body.String())
}
