package cell

import "math"

// Copper by IEC 60028 (1925), the International Annealed Copper Standard.
const (
	copperOhmM   = 1.0 / 58e6 // resistivity at 20 °C
	copperPerK   = 0.00393    // temperature coefficient at 20 °C
	copperAtDegC = 20.0
)

// WireDiameter is the diameter in meters of the solid conductor of a gauge
// number: 0.127 mm · 92^((36 − n)/39) (ASTM B258).
func WireDiameter(awg int) float64 {
	return 0.127e-3 * math.Pow(92, float64(36-awg)/39)
}

// WireResistance is the resistance in ohms per meter of a solid copper
// conductor of a gauge number at degC. Stranded wire is 2 to 4 % higher.
func WireResistance(awg int, degC float64) float64 {
	d := WireDiameter(awg)
	return copperOhmM * (1 + copperPerK*(degC-copperAtDegC)) / (math.Pi / 4 * d * d)
}

// The conditions of WireCurrent.
const (
	wireAmbientDegC = 30.0
	wireLimitDegC   = 80.0
	wireFilmWM2K    = 12.0 // convection and radiation of a thin round wire in still air, from memory
	insulatedRatio  = 2.0  // diameter over insulation to that of the conductor, from memory
)

// WireCurrent is the current in amperes that brings an insulated wire in still
// air at 30 °C to 80 °C: Joule heat against what its surface gives off. There
// is no open standard rating by gauge alone, so the conditions are stated and
// the balance is computed. It is a rating for hours; bursts may go higher.
func WireCurrent(awg int) float64 {
	surface := math.Pi * WireDiameter(awg) * insulatedRatio // m² per meter
	watts := wireFilmWM2K * surface * (wireLimitDegC - wireAmbientDegC)
	return math.Sqrt(watts / WireResistance(awg, wireLimitDegC))
}
