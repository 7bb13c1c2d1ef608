"""Made-up installations, and the advice played against them."""
