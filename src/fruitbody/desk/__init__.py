"""The clinic: a thin web application, one app per room. It holds no science."""
