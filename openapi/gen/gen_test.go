package main

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func TestTheDocumentIsNotStaleAndComesOutTheSame(t *testing.T) {
	committed, err := os.ReadFile("../openapi.json")
	require.NoError(t, err)
	page, err := os.ReadFile("../../api/web/docs/index.html")
	require.NoError(t, err)
	for range 2 {
		out, reference := filepath.Join(t.TempDir(), "openapi.json"), filepath.Join(t.TempDir(), "index.html")
		var stderr bytes.Buffer
		require.Zero(t, run([]string{"-root", "../..", "-examples", "examples", "-out", out, "-reference", reference}, &stderr), stderr.String())
		made, err := os.ReadFile(out)
		require.NoError(t, err)
		require.True(t, bytes.Equal(committed, made), "run go generate ./...")
		made, err = os.ReadFile(reference)
		require.NoError(t, err)
		require.True(t, bytes.Equal(page, made), "run go generate ./...")
	}
}

func TestTheGeneratorSaysWhatIsMissing(t *testing.T) {
	var stderr bytes.Buffer
	out := filepath.Join(t.TempDir(), "openapi.json")
	assert.Equal(t, 1, run([]string{"-root", "../..", "-examples", t.TempDir(), "-out", out}, &stderr))
	assert.Contains(t, stderr.String(), "the operation createChargePlan has no example")
	assert.NoFileExists(t, out)
	assert.Equal(t, 1, run([]string{"-root", t.TempDir(), "-examples", "examples", "-out", out}, &stderr))
	assert.Equal(t, 2, run([]string{"-nonsense"}, &stderr))
}

func TestAnExampleWithoutSuccessOrFailureIsNotEnough(t *testing.T) {
	for _, c := range []struct{ leaveOut, says string }{
		{"getRule/too-cold-to-charge.json", "GET /v1/rules/{id} has 0 examples of success and 1 of failure"},
		{"getRule/misspelled.json", "GET /v1/rules/{id} has 1 examples of success and 0 of failure"},
		{"createChargePlan/nimh.json", "Termination.ignore_first_min"},
	} {
		dir := t.TempDir()
		require.NoError(t, os.CopyFS(dir, os.DirFS("examples")))
		require.NoError(t, os.Remove(filepath.Join(dir, c.leaveOut)))
		_, err := generate("../..", dir)
		require.ErrorContains(t, err, c.says)
	}
}

func TestAnExampleThatIsAnsweredOtherwiseThanDocumentedIsRefused(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS("examples")))
	text := []byte(`{"summary":"x","method":"PUT"}`)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "listRules", "put.json"), text, 0o600))
	_, err := generate("../..", dir)
	require.ErrorContains(t, err, "example put of listRules: it is answered 405, which the document does not have")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "listRules", "put.json"), []byte(`{"sumary":"x"}`), 0o600))
	_, err = generate("../..", dir)
	require.ErrorContains(t, err, `unknown field "sumary"`)
}

func TestCommentsAreWordedForReadersOfTheDocument(t *testing.T) {
	for _, c := range []struct{ name, comment, want string }{
		{"VoltageV", "VoltageV is the voltage in volts.\n", "The voltage in volts."},
		{"Cells", "Cells are the cells\nin order.", "The cells in order."},
		{"From", "From says where it came from.", "Where it came from."},
		{"Cached", "Cached says that it is.", "Says that it is."},
		{"Pace", "Pace asks for a rate.", "Asks for a rate."},
		{"At", "Attention: none.", "Attention: none."},
		{"Émile", "Émile is élan.", "Élan."},
	} {
		assert.Equal(t, c.want, reword(c.name, c.comment))
	}
	read, err := readComments("../..")
	require.NoError(t, err)
	assert.Equal(t, "The rated capacity of the whole pack in milliampere hours, 10 to 1,000,000.", read["service/spec.Pack.CapacityMAh"])
	assert.Equal(t, "the pack has puffed up or changed shape", read["service/spec.Condition=swollen"])
}

// In the tests below, a type of the test is walked with comments of the test.
func schemaOf(t *testing.T, typ reflect.Type) *openapi3.Schema {
	t.Helper()
	said := comments{}
	var say func(reflect.Type)
	say = func(u reflect.Type) {
		for u.Kind() == reflect.Pointer || u.Kind() == reflect.Slice {
			u = u.Elem()
		}
		said[keyOf(u)] = "Words."
		if u.Kind() == reflect.Struct {
			for i := range u.NumField() {
				said[keyOf(u)+"."+u.Field(i).Name] = "Words."
				say(u.Field(i).Type)
			}
		}
	}
	say(typ)
	for _, v := range hue("").Enum() {
		said[keyOf(reflect.TypeFor[hue]())+"="+v] = v
	}
	return newWalker(said).body(typ, asked).Value
}

type hue string

func (hue) Enum() []string { return []string{"red", "green"} }

func TestRulesOfTheValidatorAreSaidInTheDocument(t *testing.T) {
	type leaf struct {
		SizeMM float64 `json:"size_mm" validate:"required,gte=1,lte=2.5"`
	}
	type doc struct {
		Name    string    `json:"name,omitempty" validate:"omitempty,min=2,max=8"`
		Hash    string    `json:"hash,omitempty" validate:"len=64" pattern:"^[0-9a-f]+$"`
		OpenV   *float64  `json:"open_v,omitempty" validate:"omitempty,gt=0,lt=6"`
		Cells   int       `json:"cells" validate:"required,gte=1,lte=32" unit:"cells"`
		Huge    int       `json:"huge" validate:"gte=0,lte=9000000000" unit:"things"`
		Day     spec.Date `json:"day,omitempty" validate:"omitempty,datetime=2006-01-02"`
		Hues    []hue     `json:"hues,omitempty" validate:"omitempty,min=1,max=5,unique,dive,enum"`
		ListV   []float64 `json:"list_v,omitempty" validate:"omitempty,max=4,dive,gte=0,lte=6"`
		Leaf    leaf      `json:"leaf" validate:"required"`
		Loud    *bool     `json:"loud,omitempty"`
		ignored int
		Hidden  int `json:"-"`
	}
	_ = doc{ignored: 1}
	s := schemaOf(t, reflect.TypeFor[doc]())
	assert.Equal(t, []string{"cells", "leaf"}, s.Required)
	assert.Equal(t, false, *s.AdditionalProperties.Has)
	p := func(name string) *openapi3.Schema { return s.Properties[name].Value }
	assert.Len(t, s.Properties, 10)
	assert.Equal(t, uint64(2), p("name").MinLength)
	assert.Equal(t, uint64(8), *p("name").MaxLength)
	assert.Equal(t, uint64(64), p("hash").MinLength)
	assert.Equal(t, "^[0-9a-f]+$", p("hash").Pattern)
	assert.InDelta(t, 0, *p("open_v").ExclusiveMin.Value, 0)
	assert.InDelta(t, 6, *p("open_v").ExclusiveMax.Value, 0)
	assert.Equal(t, "double", p("open_v").Format)
	assert.Equal(t, "volts", p("open_v").Extensions["x-unit"])
	assert.Equal(t, "int32", p("cells").Format)
	assert.Equal(t, "int64", p("huge").Format)
	assert.Equal(t, "date", p("day").Format)
	assert.True(t, p("hues").UniqueItems)
	assert.Equal(t, uint64(1), p("hues").MinItems)
	assert.Equal(t, uint64(5), *p("hues").MaxItems)
	assert.Equal(t, "#/components/schemas/hue", p("hues").Items.Ref)
	assert.Equal(t, []any{"red", "green"}, p("hues").Items.Value.Enum)
	assert.Equal(t, uint64(4), *p("list_v").MaxItems)
	assert.InDelta(t, 6, *p("list_v").Items.Value.Max, 0)
	assert.InDelta(t, 2.5, *p("leaf").AllOf[0].Value.Properties["size_mm"].Value.Max, 0)
}

func TestWhatCannotBeSaidIsAPanic(t *testing.T) {
	type strange struct {
		A string `json:"a" validate:"alphanum"`
	}
	type wrongKind struct {
		A string `json:"a" validate:"gte=1"`
	}
	type noUnit struct {
		Size float64 `json:"size" validate:"gte=0,lte=1"`
	}
	type anything struct {
		A any `json:"a"`
	}
	type badBound struct {
		SizeV float64 `json:"size_v" validate:"gte=low"`
	}
	type mapped struct {
		A map[string]int `json:"a"`
	}
	for says, typ := range map[string]reflect.Type{
		`the rule "alphanum" cannot be said`: reflect.TypeFor[strange](),
		`the rule "gte=1" cannot be said`:    reflect.TypeFor[wrongKind](),
		"what is the unit?":                  reflect.TypeFor[noUnit](),
		"a value of any type":                reflect.TypeFor[anything](),
		"invalid syntax":                     reflect.TypeFor[badBound](),
		"there is no schema for map":         reflect.TypeFor[mapped](),
	} {
		requirePanic(t, says, func() { schemaOf(t, typ) })
	}
	requirePanic(t, "has no comment", func() { newWalker(comments{}).body(reflect.TypeFor[strange](), asked) })
}

func requirePanic(t *testing.T, says string, f func()) {
	t.Helper()
	defer func() {
		t.Helper()
		v, _ := recover().(string)
		require.Contains(t, v, says)
	}()
	f()
}

func TestTwoTypesOfOneNameAreAPanic(t *testing.T) {
	c, err := readComments("../..")
	require.NoError(t, err)
	w := newWalker(c)
	w.types["Pack"] = reflect.TypeFor[rule.Doc]()
	requirePanic(t, "service/rule.Doc and service/spec.Pack are both called Pack", func() { w.body(reflect.TypeFor[spec.Pack](), asked) })
}

func TestAStructOnBothSidesIsAPanic(t *testing.T) {
	c, err := readComments("../..")
	require.NoError(t, err)
	w := newWalker(c)
	w.body(reflect.TypeFor[spec.Supply](), asked)
	w.settle()
	w.body(reflect.TypeFor[spec.Supply](), answered)
	requirePanic(t, "Supply is part of a request and of an answer", w.settle)
}

func TestAGoNameInADescriptionIsAPanic(t *testing.T) {
	s := &openapi3.Schema{Description: "Half of CapacityMAh."}
	requirePanic(t, "speaks of CapacityMAh", func() { refuseGoNames(s, []string{"CapacityMAh", "Pack"}, "x") })
	s.Description = "The Pack of capacity_mah."
	assert.NotPanics(t, func() { refuseGoNames(s, []string{"CapacityMAh", "Pack"}, "x") })
}

// Every kind of problem is a response of an operation, or is one that any path
// can have, which the words about the service explain.
func TestEveryKindOfProblemIsDocumented(t *testing.T) {
	found := map[string]bool{}
	for _, op := range api.Operations(api.Config{}) {
		for _, f := range failures(&op) {
			for _, k := range f.kinds {
				found[k.Slug] = true
			}
		}
	}
	for _, k := range api.Kinds() {
		assert.True(t, found[k.Slug] || strings.Contains(about, "`"+k.Slug+"`"), k.Slug)
	}
}
