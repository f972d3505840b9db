//! Layers, rasters and tables as other programs read them.

use super::study_run::{LAYERS, RASTERS, ROUNDING_REL, base};
use crate::common::geojson::{rings, signed};
use crate::common::result::{num, numbers, word};
use polars::prelude::{ParquetReader, SerReader};
use serde_json::Value;
use std::fs;
use std::process::Command;

fn answers(program: &str, args: &[&str]) -> bool {
    Command::new(program).args(args).output().is_ok_and(|o| o.status.success())
}

/// GDAL (`ogrinfo`, `gdaltransform`): opens each layer without a warning and finds the cells where we put
/// them.
#[test]
fn gdal_opens_the_layers() {
    if !answers("ogrinfo", &["--version"]) {
        println!("skipped: ogrinfo is not on PATH (apt-get install gdal-bin)");
        return;
    }
    for name in LAYERS {
        let out = Command::new("ogrinfo")
            .args(["-ro", "-so", "-al", "--config", "CPL_DEBUG", "OFF"])
            .arg(base().result().join(name))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        assert!(out.status.success(), "{name}");
        assert_eq!(String::from_utf8_lossy(&out.stderr), "", "{name}");
        assert!(!said.contains("Warning"), "{name}: {said}");
        let count = base().features(name).len();
        assert!(said.contains(&format!("Feature Count: {count}\n")), "{name}: {said}");
        assert!(said.contains("WGS 84"), "{name}: {said}");
    }
    if !answers("gdaltransform", &["--version"]) {
        println!("skipped in part: gdaltransform is not on PATH");
        return;
    }
    let crs = word(&base().json("manifest.json"), "crs").to_string();
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cells = base().features("cells.geojson");
    for i in [0, cells.len() / 2, cells.len() - 1] {
        // The south-west corner, half a cell from the centre.
        let corner = rings(&cells[i]["geometry"])[0].1[0];
        let out = Command::new("bash")
            .args([
                "-c",
                &format!(
                    "echo {} {} | gdaltransform -s_srs EPSG:4326 -t_srs {crs} -output_xy",
                    corner[0], corner[1]
                ),
            ])
            .env_remove("PROJ_DATA")
            .env_remove("PROJ_LIB")
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        let at: Vec<f64> = said.split_whitespace().map(|v| v.parse().unwrap()).collect();
        let half = num(&base().json("manifest.json"), "cell_m") / 2.0;
        // 1e-7 of a degree is 11 mm.
        const CORNER_M: f64 = 0.02;
        assert!((at[0] + half - easting[i]).abs() < CORNER_M, "{said}");
        assert!((at[1] + half - northing[i]).abs() < CORNER_M, "{said}");
    }
}

/// GeoTIFF 1.1 (OGC 19-008r4), by its tags: where there is no GDAL, each raster is still read back, cell by
/// cell.
#[test]
fn rasters_hold_the_cells_from_the_north_west() {
    use tiff::decoder::{Decoder, DecodingResult};
    use tiff::tags::Tag;
    let manifest = base().json("manifest.json");
    let [west, south, cell] = ["west_m", "south_m", "cell_m"].map(|n| num(&manifest["grid"], n));
    let [rows, cols] = ["rows", "cols"].map(|n| num(&manifest["grid"], n) as usize);
    let cells = base().features("cells.geojson");
    let code: u16 = word(&manifest, "crs").trim_start_matches("EPSG:").parse().unwrap();
    for name in RASTERS {
        let mut file = Decoder::new(std::io::Cursor::new(base().bytes(name))).unwrap();
        assert_eq!(file.dimensions().unwrap(), (cols as u32, rows as u32), "{name}");
        let scale = file.get_tag_f64_vec(Tag::ModelPixelScaleTag).unwrap();
        assert_eq!(scale, [cell, cell, 0.0], "{name}");
        let tie = file.get_tag_f64_vec(Tag::ModelTiepointTag).unwrap();
        assert_eq!(tie, [0.0, 0.0, 0.0, west, south + rows as f64 * cell, 0.0], "{name}");
        let keys = file.get_tag_u16_vec(Tag::GeoKeyDirectoryTag).unwrap();
        // Key 3072 is the code of the projected system, 1025 = 1 says that a pixel is an area.
        assert!(
            keys.chunks(4).any(|k| *k == [3072, 0, 1, code]) && keys.chunks(4).any(|k| *k == [1025, 0, 1, 1])
        );
        let DecodingResult::F32(pixels) = file.read_image().unwrap() else {
            panic!("{name} is not of single precision")
        };
        let figure = name.trim_start_matches("rasters/").trim_end_matches(".tif");
        for (i, feature) in cells.iter().enumerate() {
            let p = &feature["properties"];
            let (row, col) = (num(p, "row") as usize, num(p, "col") as usize);
            assert_eq!(row * cols + col, i);
            let value = f64::from(pixels[(rows - 1 - row) * cols + col]);
            match figure.strip_suffix("_year") {
                None => {
                    let wanted = num(p, figure);
                    assert!(
                        (value - wanted).abs() <= ROUNDING_REL * wanted.abs() + 1e-9,
                        "{name} {value} {wanted}"
                    );
                }
                Some(date) => match p.get(date).map(|d| d.as_str().unwrap()[..4].parse::<f64>().unwrap()) {
                    None => assert_eq!(value, -9999.0, "{name}"),
                    Some(year) => {
                        assert!((year - 1e-3..=year + 1.0).contains(&value), "{name} {value} {year}")
                    }
                },
            }
        }
    }
}

/// GDAL (`gdalinfo`, `gdallocationinfo`): each raster lies where the grid does and holds the cells' figures.
#[test]
fn gdal_opens_the_rasters() {
    if !answers("gdalinfo", &["--version"]) {
        println!("skipped: gdalinfo is not on PATH (apt-get install gdal-bin)");
        return;
    }
    let manifest = base().json("manifest.json");
    let (grid, crs) = (&manifest["grid"], word(&manifest, "crs"));
    let [west, south, cell] = ["west_m", "south_m", "cell_m"].map(|n| num(grid, n));
    let [rows, cols] = ["rows", "cols"].map(|n| num(grid, n));
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cells = base().features("cells.geojson");
    let places: String = easting.iter().zip(&northing).map(|(e, n)| format!("{e} {n}\n")).collect();
    for name in RASTERS {
        let path = base().result().join(name);
        let out = Command::new("gdalinfo").arg("-json").arg(&path).output().unwrap();
        assert!(
            out.status.success() && out.stderr.is_empty(),
            "{name}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        let facts: Value = serde_json::from_slice(&out.stdout).unwrap();
        assert_eq!(facts["size"], serde_json::json!([cols as u64, rows as u64]), "{name}");
        let corner: Vec<f64> =
            facts["geoTransform"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(corner, [west, cell, 0.0, south + rows * cell, 0.0, -cell], "{name}");
        let system = word(&facts["coordinateSystem"], "wkt");
        assert!(
            system.trim_end().ends_with(&format!("ID[\"EPSG\",{}]]", crs.trim_start_matches("EPSG:"))),
            "{system}"
        );
        assert_eq!(
            (num(&facts["bands"][0], "noDataValue"), word(&facts["bands"][0], "type")),
            (-9999.0, "Float32")
        );
        // Every cell, by the place of its centre.
        let mut child = Command::new("gdallocationinfo")
            .args(["-valonly", "-geoloc"])
            .arg(&path)
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        let mut input = child.stdin.take().unwrap();
        let asked = places.clone();
        let writing =
            std::thread::spawn(move || std::io::Write::write_all(&mut input, asked.as_bytes()).unwrap());
        let said = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
        writing.join().unwrap();
        let values: Vec<f64> = said.lines().map(|l| l.trim().parse().unwrap()).collect();
        assert_eq!(values.len(), cells.len(), "{name}");
        let figure = name.trim_start_matches("rasters/").trim_end_matches(".tif");
        let mut held = 0;
        for (cell, value) in cells.iter().zip(&values) {
            let properties = &cell["properties"];
            let wanted = match figure.strip_suffix("_year") {
                None => Some(num(properties, figure)),
                Some(date) => properties.get(date).map(|d| {
                    let d: jiff::civil::Date = d.as_str().unwrap().parse().unwrap();
                    f64::from(d.year()) + f64::from(d.day_of_year() - 1) / f64::from(d.days_in_year())
                }),
            };
            match wanted {
                None => assert_eq!(*value, -9999.0, "{name} {cell}"),
                Some(wanted) => {
                    held += 1;
                    // Single precision; a day of a year where only the day is written in the layer.
                    let room = if figure.ends_with("_year") {
                        1.2 / 365.0
                    } else {
                        ROUNDING_REL * wanted.abs() + 1e-9
                    };
                    assert!((value - wanted).abs() <= room, "{name} {value} {wanted}");
                }
            }
        }
        assert!(held > 0, "{name} holds no figure at all");
    }
}

/// GeoParquet 1.1.0 (OGC): the key `geo`, and squares as well-known binary (ISO 13249-3), anticlockwise from
/// the grid.
#[test]
fn the_cells_table_is_geoparquet() {
    let file = fs::File::open(base().result().join("tables/cells.parquet")).unwrap();
    let mut reader = ParquetReader::new(file);
    let facts = reader.get_metadata().unwrap().key_value_metadata().clone().unwrap();
    let geo = facts.iter().find(|k| k.key == "geo").and_then(|k| k.value.clone()).expect("the key \"geo\"");
    let geo: Value = serde_json::from_str(&geo).unwrap();
    let manifest = base().json("manifest.json");
    assert_eq!((word(&geo, "version"), word(&geo, "primary_column")), ("1.1.0", "geometry"));
    let column = &geo["columns"]["geometry"];
    assert_eq!(
        (word(column, "encoding"), &column["geometry_types"]),
        ("WKB", &serde_json::json!(["Polygon"]))
    );
    assert_eq!(word(column, "orientation"), "counterclockwise");
    let id = &column["crs"]["id"];
    assert_eq!(format!("{}:{}", word(id, "authority"), id["code"]), word(&manifest, "crs"));
    let table = base().table("tables/cells.parquet");
    let (easting, northing) = (numbers(&table, "easting"), numbers(&table, "northing"));
    let cell = num(&manifest["grid"], "cell_m");
    let squares = table.column("geometry").unwrap().binary().unwrap();
    let mut bbox = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    for (i, (x, y)) in easting.iter().zip(&northing).enumerate() {
        let binary = squares.get(i).unwrap();
        // Little-endian, a polygon, one ring, five positions.
        assert_eq!(binary[..13], [1, 3, 0, 0, 0, 1, 0, 0, 0, 5, 0, 0, 0]);
        let values: Vec<f64> =
            binary[13..].chunks(8).map(|b| f64::from_le_bytes(b.try_into().unwrap())).collect();
        let ring: Vec<[f64; 2]> = values.chunks(2).map(|p| [p[0], p[1]]).collect();
        assert_eq!((ring.len(), ring[0], signed(&ring)), (5, ring[4], 2.0 * cell * cell));
        for at in &ring {
            assert_eq!(((at[0] - x).abs(), (at[1] - y).abs()), (cell / 2.0, cell / 2.0));
            bbox = [bbox[0].min(at[0]), bbox[1].min(at[1]), bbox[2].max(at[0]), bbox[3].max(at[1])];
        }
    }
    assert_eq!(column["bbox"], serde_json::json!(bbox));
}

/// geopandas, as an analyst would open the layers; `PIGNUT_PYTHON` names another interpreter.
#[test]
fn geopandas_opens_the_layers() {
    let python = std::env::var("PIGNUT_PYTHON").unwrap_or_else(|_| "python3".into());
    if !answers(&python, &["-c", "import geopandas"]) {
        println!("skipped: {python} has no geopandas (pip install geopandas)");
        return;
    }
    let script = "import sys, geopandas, warnings\n\
        warnings.simplefilter('error')\n\
        warnings.filterwarnings('ignore', message='Geometry is in a geographic CRS')\n\
        for f in sys.argv[1:]:\n\
        \x20   g = geopandas.read_file(f)\n\
        \x20   assert g.crs.to_epsg() == 4326, f\n\
        \x20   assert g.geometry.is_valid.all() and not g.geometry.is_empty.any(), f\n\
        \x20   print(len(g), *[round(float(v), 7) for v in g.total_bounds])\n\
        import pathlib, importlib.util\n\
        if importlib.util.find_spec('pyarrow'):\n\
        \x20   folder = pathlib.Path(sys.argv[1]).parent\n\
        \x20   g, layer = geopandas.read_parquet(folder / 'tables/cells.parquet'), \
        geopandas.read_file(sys.argv[1])\n\
        \x20   assert g.geometry.is_valid.all() and (g.cell_id == layer.cell_id).all()\n\
        \x20   back = g.to_crs(4326).geometry.centroid.distance(layer.geometry.centroid)\n\
        \x20   assert back.max() < 1e-6, back.max()\n";
    let out = Command::new(&python)
        .args(["-c", script])
        .args(LAYERS.map(|l| base().result().join(l)))
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let said = String::from_utf8_lossy(&out.stdout);
    for (line, name) in said.lines().zip(LAYERS) {
        let layer = base().json(name);
        let values: Vec<f64> = line.split(' ').map(|v| v.parse().unwrap()).collect();
        assert_eq!(values[0], layer["features"].as_array().unwrap().len() as f64, "{name}");
        let bbox: Vec<f64> = layer["bbox"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        assert_eq!(values[1..], bbox, "{name}");
    }
    assert_eq!(said.lines().count(), LAYERS.len());
}
