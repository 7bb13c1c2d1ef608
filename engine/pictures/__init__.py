"""Line drawings by code: scenes of parts with their measures, marks from datum to measured point, right beside wrong; knows no kb."""
