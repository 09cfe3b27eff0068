// Package render writes the statement of a plant's books: as text and as one HTML
// page for people, as CSV, JSON and a workbook (XLSX) for programs.
//
// All forms show the figures of the statement as they are, so that what is shown
// adds up. Text that comes out of tickets is made harmless first: it can not steer a
// terminal, write into a page, or be taken for a formula.
//
// The charts of the page, such as Timeline and PlanActual, are SVG elements that
// other pages can take too, together with ChartStyle. They tell states and series by
// pattern, shape and label, and not by colour alone.
package render
