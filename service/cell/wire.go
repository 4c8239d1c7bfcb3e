package cell

import "math"

// WireDiameter is the diameter in meters of the solid conductor of a gauge
// number: 0.127 mm · 92^((36 − n)/39) (ASTM B258).
func WireDiameter(awg int) float64 {
	return wireGauge36M * math.Pow(wireGaugeRatio, float64(36-awg)/39)
}

// WireResistance is the resistance in ohms per meter of a solid copper
// conductor of a gauge number at degC. Stranded wire is 2 to 4 % higher.
func WireResistance(awg int, degC float64) float64 {
	d := WireDiameter(awg)
	return copperOhmM * (1 + copperPerK*(degC-copperAtDegC)) / (math.Pi / 4 * d * d)
}

// WireCurrent is the current in amperes that brings an insulated wire in still
// air at 30 °C to 80 °C: Joule heat against what its surface gives off. There
// is no open standard rating by gauge alone, so the conditions are stated and
// the balance is computed. It is a rating for hours; bursts may go higher.
func WireCurrent(awg int) float64 {
	surface := math.Pi * WireDiameter(awg) * insulatedRatio // m² per meter
	watts := wireFilmWM2K * surface * (wireLimitDegC - wireAmbientDegC)
	return math.Sqrt(watts / WireResistance(awg, wireLimitDegC))
}
