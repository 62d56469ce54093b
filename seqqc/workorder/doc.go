// Package workorder lays out what a club sends back to the laboratory: which
// vouchers to extract, amplify or sequence again, by the first cause of each
// verdict, in the wells of the next plates.
package workorder
