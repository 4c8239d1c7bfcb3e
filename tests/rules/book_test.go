package rules_test

import (
	_ "embed"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

//go:embed rows.json
var rowsJSON []byte

// What a row can expect of its rule.
const (
	fires         = "fires"          // a finding of the given severity
	quiet         = "quiet"          // judged, and nothing found
	absent        = "absent"         // not evaluated, for want of the fields listed
	notApplicable = "not-applicable" // the rule has nothing to say about such a request
)

// book is rows.json: the rows, and the requests they change.
type book struct {
	About string         `json:"about"`
	Bases map[string]any `json:"bases"`
	Rows  []row          `json:"rows"`
}

// row is one request and what one rule must say about it. The request is the
// base changed by a JSON Merge Patch (RFC 7396); without a base, the change
// alone.
type row struct {
	Name     string        `json:"name"`
	Rule     string        `json:"rule"`
	Question string        `json:"question"`
	Expect   string        `json:"expect"`
	Severity spec.Severity `json:"severity,omitempty"`
	Missing  []string      `json:"missing,omitempty"`
	Base     string        `json:"base,omitempty"`
	Change   any           `json:"change,omitzero"`
}

// validator judges every row's request; it is built once.
var validator = sync.OnceValue(spec.NewValidator)

// question is a row's request, and which question it is.
type question struct {
	name    string
	kind    *kind
	request any // a pointer to the kind's request
}

func loadBook(t testing.TB) *book {
	t.Helper()
	var b book
	require.NoError(t, json.Unmarshal(rowsJSON, &b, json.RejectUnknownMembers(true)))
	return &b
}

// question builds a row's request, decodes it strictly and validates it: a row
// that no caller could send proves nothing.
func (b *book) question(t testing.TB, r row) *question {
	t.Helper()
	body := b.body(t, r)
	k := kinds()[r.Question]
	require.NotNil(t, k, "%s: no such question as %q", r.Name, r.Question)
	request := k.request()
	require.NoError(t, json.Unmarshal(body, request, json.RejectUnknownMembers(true)), "%s", body)
	require.Empty(t, validator().Validate(request), "%s", body)
	return &question{r.Question, k, request}
}

// body is a row's request as it would be sent.
func (b *book) body(t testing.TB, r row) []byte {
	t.Helper()
	document := any(map[string]any{})
	if r.Base != "" {
		require.Contains(t, b.Bases, r.Base, "%s: no such base", r.Name)
		document = b.Bases[r.Base]
	}
	if r.Change != nil {
		document = mergePatch(document, r.Change)
	}
	body, err := json.Marshal(document)
	require.NoError(t, err)
	return body
}

// facts are the documents of the question as rules see them, without what a
// question computes.
func (q *question) facts() rule.Facts {
	f := q.kind.facts(q.request)
	f.Chemistries = cell.NewTable()
	f.Chemistry = f.Chemistries.Get(f.Pack.Chemistry)
	return f
}

// mergePatch applies a JSON Merge Patch (RFC 7396, section 2) and leaves its
// arguments as they are: rows share their bases.
func mergePatch(target, patch any) any {
	members, ok := patch.(map[string]any)
	if !ok {
		return patch
	}
	out := map[string]any{}
	if old, ok := target.(map[string]any); ok {
		for k, v := range old {
			out[k] = v
		}
	}
	for k, v := range members {
		if v == nil {
			delete(out, k)
		} else {
			out[k] = mergePatch(out[k], v)
		}
	}
	return out
}

// pointsInto reports whether a JSON Pointer (RFC 6901) leads to a value of the
// document, or to a field that it could have been given: a member of its type,
// an element that its list really has.
func pointsInto(v reflect.Value, pointer string) bool {
	if pointer == "" {
		return true
	}
	if pointer[0] != '/' {
		return false
	}
	for _, token := range strings.Split(pointer[1:], "/") {
		token = strings.NewReplacer("~1", "/", "~0", "~").Replace(token)
		for v.Kind() == reflect.Pointer {
			if v.IsNil() {
				v = reflect.Zero(v.Type().Elem())
			} else {
				v = v.Elem()
			}
		}
		switch v.Kind() {
		case reflect.Struct:
			i := fieldNamed(v.Type(), token)
			if i < 0 {
				return false
			}
			v = v.Field(i)
		case reflect.Slice:
			i, err := strconv.Atoi(token)
			if err != nil || strconv.Itoa(i) != token || i < 0 || i >= v.Len() {
				return false
			}
			v = v.Index(i)
		default:
			return false
		}
	}
	return true
}

func fieldNamed(t reflect.Type, name string) int {
	for i := range t.NumField() {
		if tag, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); tag == name && name != "" && name != "-" {
			return i
		}
	}
	return -1
}
