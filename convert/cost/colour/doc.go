// Package colour tells how well a run was printed: it reads what was measured
// out of tickets and messages of both generations, holds it against the aims
// of the plant file and the approved sheet, and looks for drift along the run.
//
// # Reading
//
// Read finds measurements where the published schemas have a place for them:
//
//   - XJDF and XJMF: in a QualityControlResult, the ColorControlStrip of its
//     ColorMeasurement (Patch, CIELABMeasuringField, DensityMeasuringField) and
//     its RegistrationQuality.
//   - JDF and JMF: RegistrationQuality in a QualityControlResult, from 1.7 on.
//     The 1.x schema has no ColorMeasurement there; a ColorControlStrip is
//     measured when it holds a QualityControlResult, as every resource may, or
//     when the ResourceInfo of a message reports it. A ColorMeasurement in a
//     QualityControlResult is read all the same.
//   - Both: the ZoneSettingsX of an InkZoneProfile. In a ticket it is the
//     presetting; reported by a message or an audit it is what the keys are at.
//
// A strip in a Layout, a MarkObject or QualityControlParams states what is
// wanted and is not read. Neither schema has a measured position of a
// RegisterMark. BindingQualityMeasurement and Inspection are no colour.
//
// A QualityControlResult with the MeasurementUsage Master is that of the
// approved sheet, which trade calls the OK sheet. Its Sample numbers the sheets;
// its Start and End are the time.
//
// # Judging
//
// Judge sorts measurements into runs and series: one zone, one colorant, one
// kind. Each point is held against the OK sheet before it where there is one,
// else against the aim. The same measurements in any order, and any of them
// repeated, give the same result.
package colour
