//! A commission's text, checked once, becomes an instrument: scale, lanes, outline, camber, frets.
