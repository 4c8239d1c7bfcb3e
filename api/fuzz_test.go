package api

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// FuzzDecode holds for any bytes that a body is read or refused with a typed
// error in words of our own, and that the one-pass reading and the collecting
// one agree.
func FuzzDecode(f *testing.F) {
	for _, body := range []string{
		goodQuestion, ``, `{}`, `[]`, `null`, `{"knob":{"count":3.0}}`, `{"knob":{"count":"3"}}`, `{"knob":{"count":1e999}}`,
		`{"zz":[{"a":1,"a":2}]}`, "{\"name\":\"\xff\"}", `{"name":"\ud800"}`, `{"a~/b":1,"":2}`, `{"spares":[{},null,3]}`,
		`{"labels":{"":"","é":"é"}}`, `{} {}`, `{"knob":{"notches_v":[1,2,3,4,5,1e400]}}`, "\uFEFF{}", `{"loud":true,"turns":-0.0}`,
		strings.Repeat("[", 20), `{"colors":[` + strings.Repeat("{},", 300) + `{}]}`, `{"a`, `"\`, `-`, `{"turns":1E+0001}`,
		`{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200},"charger":{"chemistries":["lipo"],"cells_series_min":1,"cells_series_max":6,"max_charge_current_a":6,"balance":"with_main_lead"}}`,
	} {
		f.Add([]byte(body))
	}
	questions := newQuestions()
	requests := NewDecoder[charge.Request](spec.NewValidator())
	f.Fuzz(func(t *testing.T, body []byte) {
		requireAgreement(t, questions, body)
		requireAgreement(t, requests, body)
	})
}

func requireAgreement[T any](t *testing.T, d *Decoder[T], body []byte) {
	doc, err := d.Decode(body)
	requireTyped(t, err)
	if _, e := prescan(body); e != nil {
		require.Error(t, err)
		return
	}
	slowDoc, slowErr := d.collect(body)
	requireTyped(t, slowErr)
	var malformed, slowMalformed *MalformedError
	require.Equal(t, errors.As(err, &malformed), errors.As(slowErr, &slowMalformed))
	require.Equal(t, err == nil, slowErr == nil)
	if err == nil {
		require.Equal(t, doc, slowDoc)
	}
}

func requireTyped(t *testing.T, err error) {
	if err == nil {
		return
	}
	var malformed *MalformedError
	var invalid *InvalidError
	switch {
	case errors.As(err, &malformed):
		require.Len(t, malformed.Faults, 1)
	case errors.As(err, &invalid):
		require.NotEmpty(t, invalid.Faults)
		require.LessOrEqual(t, len(invalid.Faults), mostFaults)
	default:
		require.Fail(t, "an error of another type", "%T", err)
	}
	for _, f := range FaultsOf(err) {
		require.NotEmpty(t, f.Rule)
		require.NotEmpty(t, f.Detail)
	}
}
